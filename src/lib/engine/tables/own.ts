// The model with a person's own tables: their rows replace published ones, or are added to them, and have the
// status `yours`, so that engine, search, bands and pages all read one model. A row that names something
// unknown, or gives a figure that such a row cannot have, is reported with its place and cure and changes
// nothing.
import { COMPOUNDS, OWN_SCHOOLS, type CompoundId } from '#shared/ids.ts';
import { axisWeights } from '#shared/evidence/axis-weights.ts';
import { nameKey } from '#shared/name-key.ts';
import { either, nearestNames } from '#shared/names.ts';
import type { Problem } from '#shared/outcome.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { Compound, Descriptor, Hop, Parameter } from '#shared/schemas/tables.ts';
import { rounded } from '#shared/tables/cells.ts';
import { ownRows, type OwnRows } from '#shared/tables/own-tables.ts';
import { priceKey, type Model, type ParameterId } from './model.ts';
import { Newest } from './newest.ts';
import { hopsWith } from './own-hops.ts';
import { OverlayReport } from './overlay-report.ts';

/** A model with own tables, and the faults of rows that could not be used. */
export interface OwnModel {
  readonly model: Model;
  readonly problems: readonly Problem[];
}

/** How far an own parameter may lie outside the published range, as a factor. */
const PARAMETER_FOLD = 100;
const PRICE_MAX = 1e6;
/** Least and greatest odour threshold that is accepted, µg/L: beyond them the unit is wrong. */
const [THRESHOLD_MIN, THRESHOLD_MAX] = [1e-6, 1e7];

/** Builds one such model: each part reads the published rows and adds to the list of faults. */
class Overlay {
  readonly report: OverlayReport;
  private readonly rows: OwnRows;

  constructor(
    private readonly plain: Model,
    own: OwnTables,
  ) {
    const { rows, problems } = ownRows(own);
    this.rows = rows;
    this.report = new OverlayReport(
      new Set([...citedBy(plain), ...rows.sources.map(({ id }) => id)]),
    );
    this.report.problems.addAll(problems);
  }

  model(): Model {
    const parameters = this.parameters();
    const compounds = this.compounds();
    const descriptors = this.descriptors();
    const hops = hopsWith(this.plain, this.rows, parameters, this.report);
    const prices = this.prices(hops);
    return {
      ...this.plain,
      parameters,
      compounds,
      descriptors,
      weights:
        descriptors === this.plain.descriptors ? this.plain.weights : axisWeights(descriptors),
      hops,
      ...(prices.size > 0 && { prices }),
      own: [...this.report.ids],
    };
  }

  private parameters(): Model['parameters'] {
    const { parameters: published } = this.plain;
    const changed: Partial<Record<ParameterId, Parameter>> = {};
    for (const row of this.rows.parameters) {
      const { id, low, default: central, high, unit, sources, note } = row;
      const of = Object.hasOwn(published, id) ? published[id as ParameterId] : undefined;
      if (!of) {
        const near = nearestNames(id, Object.keys(published));
        const cure = `Write ${near.length > 0 ? either(near) : 'an id of the page Evidence, table Process parameters'}`;
        this.report.add('parameters', row.row, 'id', `there is no parameter ${id}`, cure);
        continue;
      }
      if (unit !== '-' && unit !== of.unit) {
        const message = `${id} is counted in ${of.unit}, not in ${unit}`;
        this.report.add('parameters', row.row, 'unit', message, `Give the figures in ${of.unit}`);
        continue;
      }
      const [least, most] = boundsOf(of);
      const figures = [low, central, high];
      const strange = figures.find((figure) => !(figure >= least && figure <= most));
      if (strange !== undefined) {
        const column = (['low', 'default', 'high'] as const)[figures.indexOf(strange)]!;
        const cure = `Write a figure from ${least} to ${most} ${of.unit}, the unit it is counted in`;
        this.report.add('parameters', row.row, column, `${strange} cannot be ${id}`, cure);
        continue;
      }
      const sound =
        this.report.rising('parameters', row.row, 'low', figures) &&
        this.report.cites('parameters', row.row, 'sources', sources);
      if (!sound || this.report.isTwice('parameters', row.row, 'id', id)) continue;
      this.report.ids.add(`parameter/${id}`);
      changed[id as ParameterId] = { ...of, low, central, high, status: 'yours', sources, note };
    }
    return { ...published, ...changed };
  }

  private compounds(): Model['compounds'] {
    const changed: Partial<Record<CompoundId, Compound>> = {};
    for (const row of this.rows.compounds) {
      const { id, threshold_low: low, threshold: central, threshold_high: high } = row;
      const { threshold_sources: sources, threshold_matrix: matrix, threshold_note: note } = row;
      const figures = [low!, central!, high!];
      const strange = figures.find((of) => !(of >= THRESHOLD_MIN && of <= THRESHOLD_MAX));
      if (strange !== undefined) {
        const cure = `Write µg/L, from ${THRESHOLD_MIN} to ${THRESHOLD_MAX}`;
        this.report.add(
          'compounds',
          row.row,
          'threshold',
          `${strange} is no odour threshold`,
          cure,
        );
        continue;
      }
      const sound =
        this.report.rising('compounds', row.row, 'threshold_low', figures) &&
        this.report.cites('compounds', row.row, 'threshold_sources', sources);
      if (!sound || this.report.isTwice('compounds', row.row, 'id', id)) continue;
      const range = { low: low!, central: central!, high: high! };
      const threshold = { ...range, matrix, status: 'yours' as const, sources, note };
      // An own threshold holds under every school.
      const schools = Object.fromEntries(OWN_SCHOOLS.map((school) => [school, threshold]));
      this.report.ids.add(`threshold/${id}`);
      for (const school of OWN_SCHOOLS) this.report.ids.add(`threshold/${id}/${school}`);
      changed[id] = { ...this.plain.compounds[id], threshold, schools };
    }
    return { ...this.plain.compounds, ...changed };
  }

  private descriptors(): readonly Descriptor[] {
    const added: Descriptor[] = [];
    for (const row of this.rows.descriptors) {
      const { driver, descriptor, rank, axis, stand_in: standIn, sources } = row;
      if (![1, 2, 3, 4].includes(rank)) {
        const cure =
          'Write 1 for the note named first, 2, 3, or 4 for one met only when it is strong';
        this.report.add('descriptors', row.row, 'rank', `${rank} is no rank`, cure);
        continue;
      }
      if (!this.report.cites('descriptors', row.row, 'sources', sources)) continue;
      const key = `${driver}, ${descriptor}, ${axis}`;
      if (this.report.isTwice('descriptors', row.row, 'descriptor', key)) continue;
      if (axis !== '') this.report.ids.add(`weight/${axis}/${driver}`);
      const own = { driver, descriptor, rank, axis: axis === '' ? null : axis, standIn, sources };
      added.push({ ...own, status: 'yours' });
    }
    if (added.length === 0) return this.plain.descriptors;
    // A note that somebody ranks anew replaces the published rank.
    const isRanked = (of: Descriptor) =>
      added.some((d) => d.driver === of.driver && d.axis === of.axis);
    return [...this.plain.descriptors.filter((of) => !isRanked(of)), ...added];
  }

  private prices(hops: readonly Hop[]): Map<string, number> {
    const names = new Set(hops.flatMap((hop) => [nameKey(hop.name), nameKey(hop.id)]));
    const prices = new Map<string, number>();
    for (const { row, hop, form, price_per_kg: price } of this.rows.prices) {
      if (!names.has(nameKey(hop))) this.report.addUnknownHop('prices', row, 'hop', hop, hops);
      else if (!(price >= 0 && price <= PRICE_MAX)) {
        const cure = `Write the price of 1 kg, from 0 to ${PRICE_MAX}`;
        this.report.add('prices', row, 'price_per_kg', `${price} is no price`, cure);
      } else if (!this.report.isTwice('prices', row, 'hop', `${hop}, ${form}`)) {
        prices.set(priceKey(hop, form), price);
      }
    }
    return prices;
  }
}

/** Ids of the sources that rows of the model cite. */
function citedBy({ hops, parameters, compounds, descriptors }: Model): Set<string> {
  const cells = hops.flatMap(({ cells: of, precursor }) => [...Object.values(of), precursor]);
  const thresholds = COMPOUNDS.flatMap((c) => compounds[c].threshold ?? []);
  const rows = [...cells, ...Object.values(parameters), ...thresholds, ...descriptors];
  return new Set(rows.flatMap(({ sources }) => sources));
}

/**
 * Least and greatest value an own parameter may have: close enough to the published range to mean the same
 * quantity.
 */
function boundsOf({ low, high, unit }: Parameter): [least: number, most: number] {
  const least = low >= 0 ? low / PARAMETER_FOLD : low * PARAMETER_FOLD;
  const most = high >= 0 ? high * PARAMETER_FOLD : high / PARAMETER_FOLD;
  // A share must stay at most 1.
  return [rounded(least), unit === 'fraction' && high <= 1 ? 1 : rounded(most)];
}

/** Models in use, by their tables; the newest are kept. */
const models = new Newest<Model, string, OwnModel>(3);

/** The model with own tables; the same object for the same tables, as long as it is in use. */
export function ownModel(plain: Model, own: OwnTables | null | undefined): OwnModel {
  if (!own || Object.keys(own).length === 0) return { model: plain, problems: [] };
  return models.of(plain, JSON.stringify(own), () => {
    const overlay = new Overlay(plain, own);
    const model = overlay.model();
    return { model, problems: overlay.report.problems.list };
  });
}
