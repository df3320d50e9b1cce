// A beer in symbols: its additions, and every figure of it as a line worked out from their unit doses.
// The prediction computes these lines, the evidence of a figure reads them.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import type { LoadGroup } from '#shared/schemas/tables.ts';
import { compoundName } from '#engine/tables/names.ts';
import { alphaHeld } from '#engine/process/alpha-solubility.ts';
import { afterAdsorption, loadLeft } from '#engine/process/load-law.ts';
import type { Process } from '#engine/process/process.ts';
import type { StageTerms } from '#engine/process/stage.ts';
import { acetylated, maltReleased } from '#engine/process/yeast.ts';
import { madeOnce } from '#engine/symbols/rows.ts';
import {
  decay,
  labelled,
  least,
  line,
  minus,
  most,
  num,
  over,
  sum,
  times,
  type Line,
  type Summand,
  type Term,
} from '#engine/symbols/term.ts';
import type { LotAddition } from './design.ts';
import { DosedAdditions } from './dosed-additions.ts';
import { intensity, odourActivity, signal, type BeerContent } from './smell.ts';
import { REPORTED_AS } from './unit-dose.ts';

/** Stands for a leaf load of 0, g/L, so that a share of it stays finite. */
const NO_LEAF = 1e-12;

/** 3SH that yeast frees from the malt: the part that stays 3SH, or the part that becomes its acetate, ug/L. */
function maltOf(process: Process, compound: 'sh3' | 'sha3'): Line {
  return process.once(`malt ${compound}`, () => {
    const term = times(maltReleased(process), ...acetylated(process, compound));
    return line(`${compoundName(compound)} of the malt`, 'µg/L', 'bound_release', term);
  });
}

export class Beer implements BeerContent {
  readonly process: Process;
  private readonly additions: DosedAdditions;
  private readonly lines = new Map<string, Line>();

  /** @param additions with their grams; a world may set other grams, by the index of the addition. */
  constructor(process: Process, additions: readonly LotAddition[]) {
    this.process = process;
    this.additions = new DosedAdditions(process, additions);
  }

  private once(key: string, make: () => Line): Line {
    return madeOnce(this.lines, key, make);
  }

  /** Total dry-hop load, g/L. */
  load(): Line {
    return this.once('load', () => {
      const grams = this.additions.parts(
        (a) => a.grams,
        ({ unit }) => unit.stage.loads,
      );
      const term = over(labelled(grams), this.process.beer);
      return line('Dry hop in all', 'g/L', 'hop_weight', term);
    });
  }

  private loadLeft(group: LoadGroup): Line {
    return this.once(`load ${group}`, () => loadLeft(this.process, group, this.load()));
  }

  /** Compound that a gram of an addition brings, less what the load takes, ug/g; `null`: none. */
  broughtByGram(addition: number, compound: CompoundId): Term | null {
    const { unit } = this.additions.at(addition);
    const of = unit.compounds[COMPOUNDS.indexOf(compound)];
    if (!of) return null;
    const { loadGroup } = this.process.model.compounds[compound];
    return unit.stage.loads ? times(of, this.loadLeft(loadGroup)) : of;
  }

  /** What an addition brings of a compound, ug/L; `null` where it brings none. */
  brought(addition: number, compound: CompoundId): Term | null {
    const byGram = this.broughtByGram(addition, compound);
    return byGram && times(this.additions.at(addition).dose, byGram);
  }

  /** What the malt brings of a compound, ug/L; `null` where it brings none. */
  broughtByMalt(compound: CompoundId): Line | null {
    return compound === 'sh3' || compound === 'sha3' ? maltOf(this.process, compound) : null;
  }

  /** Leaf that an addition leaves in wort or beer, g of type 90 per L; `null` where it leaves none. */
  leafBrought(addition: number): Term | null {
    const { unit, dose } = this.additions.at(addition);
    return unit.leaf && times(dose, unit.leaf);
  }

  /** A compound in the beer, ug/L: one part for each addition that brings any of it, and the malt. */
  concentration(compound: CompoundId): Line {
    return this.once(`concentration ${compound}`, () => {
      const brought = this.additions.parts((_, a) => this.brought(a, compound));
      const malt = this.broughtByMalt(compound);
      if (malt) brought.push({ label: 'Malt', term: malt });
      const name = `${compoundName(compound)} in the beer`;
      return line(name, 'µg/L', 'concentration', labelled(brought));
    });
  }

  /** Signal of an axis that an addition brings by what tasters report of its hop; `null`: none. */
  reportedBy(addition: number, axis: AxisId): Term | null {
    const { unit, dose } = this.additions.at(addition);
    const of = unit.reported[AXES.indexOf(axis)];
    const { loadGroup } = this.process.model.compounds[REPORTED_AS];
    if (!of) return null;
    return unit.stage.loads ? times(dose, of, this.loadLeft(loadGroup)) : times(dose, of);
  }

  /** Signal of an axis by what tasters report of the hops: one part for each addition whose hop has the note. */
  reported(axis: AxisId): Line {
    return this.once(`reported ${axis}`, () => {
      const parts = this.additions.parts((_, a) => this.reportedBy(a, axis));
      const name = `${AXIS_NAMES[axis]} by what tasters report`;
      return line(name, '', 'reported', labelled(parts));
    });
  }

  /** Odour activity value: concentration over threshold; `null` where no threshold in beer is known. */
  odourActivity(compound: CompoundId): Line | null {
    const { model } = this.process;
    const known = this.lines.get(`oav ${compound}`);
    const of = known ?? odourActivity(model, compound, this.concentration(compound));
    if (of) this.lines.set(`oav ${compound}`, of);
    return of;
  }

  signal(axis: AxisId): Line {
    return this.once(`signal ${axis}`, () =>
      signal(this.process.model, axis, {
        activityOf: (c) => this.odourActivity(c),
        leaf: this.leaf(),
        reported: this.reported(axis),
      }),
    );
  }

  intensity(axis: AxisId): Line {
    return this.once(`intensity ${axis}`, () =>
      intensity(this.process.model, axis, this.signal(axis)),
    );
  }

  private leafParts(isIn: (stage: StageTerms) => boolean): Summand[] {
    return this.additions.parts(
      (_, a) => this.leafBrought(a),
      ({ unit }) => isIn(unit.stage),
    );
  }

  /** Leaf of all stages after the mash, g of type 90 per L. */
  leaf(): Line {
    return this.once('leaf', () =>
      line('Leaf after the mash', 'g/L', 'leaf', labelled(this.leafParts(() => true))),
    );
  }

  /** Leaf of the dry hops alone, g of type 90 per L. */
  leafDry(): Line {
    return this.once('leaf dry', () =>
      line('Leaf of the dry hop', 'g/L', 'leaf', labelled(this.leafParts((s) => s.loads))),
    );
  }

  /** Leaf of one stage, g of type 90 per L. */
  private leafOf(stage: StageTerms): Line {
    return this.once(`leaf of ${stage.use.key}`, () => {
      const of = labelled(this.leafParts((s) => s === stage));
      return line(`Leaf of the ${stage.where}`, 'g/L', 'leaf', of);
    });
  }

  hopWeight(): Line {
    return this.once('hop g', () =>
      line('Hops in all', 'g', 'hop_weight', labelled(this.additions.parts((a) => a.grams))),
    );
  }

  hopsPerLitre(): Line {
    return this.once('hop g/L', () =>
      line('Hops per litre', 'g/L', 'hop_weight', over(this.hopWeight(), this.process.beer)),
    );
  }

  /** Beer that the hops hold back, L, no more than there is. */
  beerLost(): Line {
    return this.once('beer lost', () => {
      const held = labelled(this.additions.parts(({ grams, unit }) => times(grams, unit.lost)));
      return line('Beer held back', 'L', 'beer_lost', least(held, this.process.beer));
    });
  }

  phRise(): Line {
    return this.once('ph', () => {
      const term = times(this.leafDry(), this.process.parameter('ph.rise'));
      return line('pH rise', '-', 'ph_rise', term);
    });
  }

  /** Polyphenols from dry hops, mg/L, as far as they are extracted in the time of the stage. */
  polyphenols(): Line {
    return this.once('polyphenols', () => {
      const gain = this.process.parameter('polyphenol.gain');
      const of = this.additions.stages.flatMap((stage) =>
        stage.extracted ? [times(this.leafOf(stage), gain, stage.extracted)] : [],
      );
      return line('Polyphenols', 'mg/L', 'polyphenols', sum(...of));
    });
  }

  /**
   * Iso-alpha acids of a hot stage in the beer, mg/L; `null` where no hops go in there. The alpha acids that
   * the wort can hold are isomerized; part is lost on the way, part adsorbs on dry-hop leaf (MAYE16).
   */
  isoAlpha(stage: StageTerms): Line | null {
    const { alpha: path } = stage;
    if (path.kind === 'cold') return null;
    const parts = this.additions.parts(
      ({ unit, dose }) => unit.alpha && times(dose, unit.alpha),
      ({ unit }) => unit.stage === stage,
    );
    if (parts.length === 0) return null;
    return this.once(`iso ${stage.use.key}`, () => {
      const name = `Alpha acids from the ${stage.where}`;
      const put = line(name, 'mg/L', 'iso_alpha', labelled(parts));
      const term = times(
        least(put, path.cap),
        path.isomerized(),
        this.process.parameter('iso.to_beer'),
        ...(this.additions.hasDryHops ? [afterAdsorption(this.process, this.load())] : []),
      );
      return line(`Iso-alpha acids from the ${stage.where}`, 'mg/L', 'iso_alpha', term);
    });
  }

  /** Iso-alpha acids by the key of their stage. */
  isoAlphaByStage(): ReadonlyMap<string, Line> {
    return new Map(
      this.additions.stages.flatMap((stage) => {
        const iso = this.isoAlpha(stage);
        return iso ? [[stage.use.key, iso] as const] : [];
      }),
    );
  }

  /** Humulinones of the dry hop in the beer, mg/L. */
  private humulinones(): Line {
    return this.once('humulinones', () => {
      const parts = this.additions.parts(
        ({ unit, dose }) => unit.humulinones && times(dose, unit.humulinones),
      );
      return line('Humulinones from the dry hop', 'mg/L', 'dry_bitter', labelled(parts));
    });
  }

  /** Alpha acids of the dry hop in the beer, mg/L, as far as it can hold them. */
  private alphaDry(): Line {
    return this.once('alpha dry', () => {
      const parts = this.additions.parts(
        ({ unit, dose }) => unit.alpha && times(dose, unit.alpha),
        ({ unit }) => unit.stage.alpha.kind === 'cold',
      );
      const term = least(labelled(parts), alphaHeld(this.process));
      return line('Alpha acids from the dry hop', 'mg/L', 'dry_bitter', term);
    });
  }

  /**
   * Bitterness: as the spectrophotometer reads it, iso + 0.8 humulinones + 0.6 alpha, which overstates
   * dry-hopped beer (BEER23); or as tasted, mg/L of iso-alpha acids that taste as bitter, iso + 0.66
   * humulinones + 0.1 alpha. Sources: ALGAZ16 (humulinones), WIKI_MTF (alpha, second-hand).
   */
  bitterness(as: 'ibu' | 'bitter_taste'): Line {
    return this.once(as, () => {
      const weights = as === 'ibu' ? 'ibu.weight' : 'taste.weight';
      const parts: Summand[] = [...this.isoAlphaByStage().values()].map((iso) => ({
        label: iso.name,
        term: iso,
      }));
      if (this.additions.hasDryHops) {
        const cold = [
          { of: this.humulinones(), weight: `${weights}.humulinone` as const },
          { of: this.alphaDry(), weight: `${weights}.alpha` as const },
        ];
        for (const { of, weight } of cold) {
          parts.push({ label: of.name, term: times(this.process.parameter(weight), of) });
        }
      }
      return as === 'ibu'
        ? line('Bitterness', 'IBU', 'ibu', labelled(parts))
        : line('Bitterness as tasted', 'mg/L', 'bitter_taste', labelled(parts));
    });
  }

  /**
   * Extract that the enzymes of the dry hop set free in the end, P: min(0.2 D, 2.0), D by leaf. Source: KIRK18
   * (figures from memory).
   */
  creepExtract(): Line {
    return this.once('creep', () => {
      const { process } = this;
      const term = least(
        times(process.parameter('creep.per_load'), this.leafDry()),
        process.parameter('creep.cap'),
      );
      return line('Extract set free by hop creep', '°P', 'creep', term);
    });
  }

  /**
   * Carbon dioxide that live yeast makes of that extract during the dry hops, volumes: for each dry hop by its
   * part of the leaf and its days, at the rate of its temperature. Source: ALLA17 (2.5 volumes per P).
   */
  creepCo2(): Line {
    return this.once('creep co2', () => {
      const { process } = this;
      const dry = this.additions.stages.filter((stage) => stage.loads);
      const fermented = dry.flatMap((stage) => {
        if (!stage.creepDays) return [];
        const slowed = decay(over(stage.creepDays, process.parameter('creep.days')));
        const share =
          dry.length > 1 ? [over(this.leafOf(stage), most(this.leafDry(), num(NO_LEAF)))] : [];
        return [times(this.creepExtract(), ...share, minus(num(1), slowed))];
      });
      const term = times(sum(...fermented), process.parameter('creep.co2_vol'));
      return line('Carbon dioxide of hop creep in the dry hop', 'volumes', 'creep_co2', term);
    });
  }

  /**
   * Carbon dioxide still to come when the package is warm and holds yeast, volumes: of all extract that the
   * enzymes set free in the end, the part not fermented during the dry hops.
   */
  creepToCome(): Line {
    return this.once('creep to come', () => {
      const all = times(this.creepExtract(), this.process.parameter('creep.co2_vol'));
      const term = minus(all, this.creepCo2());
      return line('Carbon dioxide of hop creep still to come', 'volumes', 'creep_to_come', term);
    });
  }
}
