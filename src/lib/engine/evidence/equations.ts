// Every equation of the model as it is computed: formulas in symbols, the parameters in it, the equations it
// builds on and the rows it reads. Nothing is written a second time: all of it is read from the lines of a few
// example beers that together use every stage, form, packing, yeast and class.
import { AXES, COMPOUNDS, FORMS, OIL_COMPOUNDS, TENDENCIES, YEASTS } from '#shared/ids.ts';
import { provenanceId } from '#shared/evidence/provenance.ts';
import type { Batch } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Stages } from '#shared/stages/stages.ts';
import { lotOf, type Lot } from '#engine/lot/composition.ts';
import { defaultValues, model, modelFor, type ParameterId } from '#engine/tables/model.ts';
import { ageingOf } from '#engine/lot/content.ts';
import { Beer } from '#engine/predict/beer.ts';
import { co2InPackage, pressureLine } from '#engine/predict/carbonation.ts';
import { costLine } from '#engine/predict/cost.ts';
import { shelfConcentration, shelfIntensity } from '#engine/predict/shelf.ts';
import { Process } from '#engine/process/process.ts';
import { EQUATION_WORDS, type EquationId } from '#engine/symbols/equation-ids.ts';
import { formulaOf } from '#engine/symbols/formula.ts';
import { termsIn, type Line, type Term } from '#engine/symbols/term.ts';

type Reads = 'cell' | 'threshold' | 'weight';

export interface Equation {
  readonly gives: string;
  /** In symbols: one formula for each case. */
  readonly formulas: readonly string[];
  readonly parameters: readonly ParameterId[];
  readonly buildsOn: readonly EquationId[];
  /** Other rows that the equation reads: figures of hops, odour thresholds, descriptor weights. */
  readonly reads: readonly Reads[];
  readonly sources: readonly string[];
}

const PARAMETER_IDS = Object.keys(defaultValues(model)) as ParameterId[];
const startingWith = (...starts: readonly string[]) =>
  PARAMETER_IDS.filter((id) => starts.some((start) => id.startsWith(start)));

/** Equations that are not arithmetic on the figures of one beer. */
const OTHERS: Readonly<Partial<Record<EquationId, Omit<Equation, 'gives' | 'sources'>>>> = {
  band: {
    formulas: [
      '10 and 90 % point of 500 draws of every uncertain parameter, threshold and lot figure',
    ],
    parameters: startingWith('spread.', 'lot.'),
    buildsOn: [],
    reads: ['cell', 'threshold'],
  },
  reported_fit: {
    formulas: [
      'strength = sum of trust × named / (sum of trust + reported.doubt)',
      'target = signal of intensity reported.least + (reported.lead − reported.least) × strength ^ reported.bend, at reported.dose',
      'reported = target less what the compounds explain, never below 0',
      'range: × and ÷ reported.fold_least × reported.fold ^ (1/(1 + trust))',
    ],
    parameters: startingWith('reported.'),
    buildsOn: ['signal'],
    reads: ['cell', 'weight'],
  },
  learning: {
    formulas: [
      'least of ½ sum of scores² + misfit of every score and lab figure, a score of 0 being the middle of a range',
      'what is left of the doubt: (1 + slopes · slopes / noise²)^−1 at that place',
    ],
    parameters: [],
    buildsOn: ['intensity', 'ibu', 'concentration'],
    reads: ['cell', 'threshold', 'weight'],
  },
  noticeable: {
    formulas: ['signal before/(1 + aroma.jnd) ≤ signal ≤ signal before × (1 + aroma.jnd)'],
    parameters: ['aroma.jnd'],
    buildsOn: ['signal'],
    reads: [],
  },
  mixing: {
    formulas: [
      'T = (m1 c1 T1 + m2 c2 T2)/(m1 c1 + m2 c2), m = volume × density at its temperature',
      'c = brewday.water_heat (1 − w) + brewday.extract_heat w, w = P/100',
    ],
    parameters: [
      'brewday.water_heat',
      'brewday.extract_heat',
      'brewday.pitch_temp',
      'brewday.coldest_wort',
    ],
    buildsOn: [],
    reads: [],
  },
  strike: {
    formulas: [
      'T = T mash + brewday.malt_heat/brewday.water_heat × (T mash − brewday.malt_temp)/(kg liquor per kg malt)',
    ],
    parameters: [
      'brewday.malt_heat',
      'brewday.water_heat',
      'brewday.malt_temp',
      'brewday.mash_liquor',
    ],
    buildsOn: [],
    reads: [],
  },
  dilution: {
    formulas: ['(gravity − 1) × volume stays the same'],
    parameters: [],
    buildsOn: [],
    reads: [],
  },
  kettle: {
    formulas: [
      'after = (wort into the fermenter + Σ grams × loss.* of kettle hops)/(1 − brewday.kettle_loss)',
      'before = after/(1 − brewday.evaporation × hours), (gravity − 1) × volume stays the same',
    ],
    parameters: ['brewday.evaporation', 'brewday.kettle_loss', 'loss.boil', 'loss.hot_steep'],
    buildsOn: ['dilution'],
    reads: [],
  },
  brew_days: {
    formulas: ['what common practice has where the stages tell no day'],
    parameters: [
      'brewday.fermentation_days',
      'brewday.early_dry_hop_day',
      'brewday.crash_days',
      'brewday.crash_temp',
    ],
    buildsOn: [],
    reads: [],
  },
  warnings: {
    formulas: ['figure of the design against its limit'],
    parameters: [...startingWith('warn.'), 'leaf.grassy_threshold'],
    buildsOn: ['creep_to_come', 'storage', 'ibu', 'leaf', 'beer_lost', 'bound_content'],
    reads: ['cell'],
  },
};

/** Conditions that together reach every case of every stage. */
const EXAMPLES: readonly Stages[] = [
  {
    mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
    boil: { minutes: 15 },
    hot_steep: { temp_c: 85, minutes: 15, closed: false },
    dry_hop: { temp_c: 14, hours: 144, mixed: true, live_yeast: true },
  },
  {
    mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
    hot_steep: { temp_c: 80, minutes: 10, closed: true, cooling: { to_c: 20, minutes: 40 } },
    second: { kind: 'hot_steep', temp_c: 70, minutes: 10, closed: false },
    tea: { kind: 'hot_steep', temp_c: 75, minutes: 30, closed: true, liquor_l: 3 },
    dry_hop: { temp_c: 14, hours: 30, mixed: false, live_yeast: false },
  },
];

function exampleLots(): Lot[] {
  const storages: Addition['storage'][] = [
    { months: 8, temp_c: 12, packed: 'opened' },
    { months: 8, temp_c: 10, packed: 'sealed' },
    { storage_index: 0.5 },
  ];
  const specs = FORMS.flatMap((form) =>
    TENDENCIES.map((precursor, i) => ({
      hop: 'Citra',
      form,
      analysis: { precursor },
      storage: storages[i % storages.length],
      price_per_kg: 20,
      ...(i === 0 && { package_g: 100 }),
    })),
  );
  const analysed = {
    hop: 'Cascade',
    form: 'pellet_90' as const,
    price_per_kg: 20,
    storage: { ...storages[0]!, months_since_analysis: 2 },
    analysis: {
      alpha_pct: 6,
      total_oil_ml_per_100g: 1.4,
      myrcene_pct_of_oil: 50,
      g_sh3_mg_per_kg: 8,
      cys_sh3_mg_per_kg: 0.3,
    },
  };
  return [...specs, analysed].map((spec) => {
    const lot = lotOf(model, spec);
    if (!lot.ok) throw new Error('an example lot of the table');
    return lot.value;
  });
}

/** The lines of all figures of the example beers. */
function exampleLines(): Line[] {
  const lots = exampleLots();
  const lines: (Line | null)[] = [];
  for (const yeast of YEASTS) {
    for (const stages of EXAMPLES) {
      const batch: Batch = { beer_l: 20, yeast, malt_g_per_l: 200, co2_vol: 2.4 };
      const costed = { ...batch, leftover_value_pct: 50 };
      const process = new Process(model, batch, stages);
      const additions = lots.flatMap((lot) =>
        process.stages.map(({ use }) => ({ lot, stage: use.key, grams: 20 })),
      );
      const beer = new Beer(process, additions);
      lines.push(
        ...AXES.map((axis) => beer.intensity(axis)),
        ...AXES.map((axis) => shelfIntensity(process, beer, axis, 3, 12)),
        ...COMPOUNDS.map((c) => shelfConcentration(process, beer, c, 3, 12)),
        beer.bitterness('ibu'),
        beer.bitterness('bitter_taste'),
        beer.hopsPerLitre(),
        beer.beerLost(),
        beer.phRise(),
        beer.polyphenols(),
        co2InPackage(beer),
        pressureLine(beer, 'planned', 20),
        pressureLine(beer, 'in_all', 20),
        costLine({ name: '', batch: costed, stages, additions }),
      );
      const ageing = ['alpha_pct', 'total_oil_ml_per_100g', ...OIL_COMPOUNDS] as const;
      const alone = new Beer(
        new Process(modelFor(model, { compounds_only: true }), batch, stages),
        [],
      );
      lines.push(...AXES.map((axis) => alone.intensity(axis)));
      for (const lot of lots) {
        lines.push(...ageing.map((of) => ageingOf(process, lot, of)?.now ?? null));
      }
    }
  }
  return lines.filter((line) => line !== null);
}

interface Gathered {
  readonly formulas: Set<string>;
  readonly parameters: Set<ParameterId>;
  readonly buildsOn: Set<EquationId>;
  readonly reads: Set<Reads>;
}

function gathered(): Map<EquationId, Gathered> {
  const found = new Map<EquationId, Gathered>();
  const seen = new Set<Line>();
  // Of a line computed in many small steps only the parameters are listed.
  const visitLine = (line: Line, isStep = false) => {
    if (seen.has(line)) return;
    seen.add(line);
    let of = found.get(line.equation);
    if (!of) {
      of = { formulas: new Set(), parameters: new Set(), buildsOn: new Set(), reads: new Set() };
      found.set(line.equation, of);
    }
    if (!isStep) of.formulas.add(formulaOf(line));
    visit(line.term, of, line.equation, isStep || line.manySteps);
  };
  const visit = (term: Term, of: Gathered, equation: EquationId, isStep: boolean) => {
    if (term.kind === 'line') {
      if (term.equation !== equation) of.buildsOn.add(term.equation);
      visitLine(term, isStep);
    } else if (term.kind === 'leaf') {
      const id = term.id === null ? undefined : provenanceId(term.id);
      if (id?.kind === 'parameter') of.parameters.add(id.rest as ParameterId);
      if (id?.kind === 'cell' || id?.kind === 'estimator') of.reads.add('cell');
      if (id?.kind === 'threshold' || id?.kind === 'weight') of.reads.add(id.kind);
      // Bound 3SH by class is a row of the hop table whose value comes from a parameter.
      const cls = term.id?.startsWith('cell/') && /by class: (\w+)$/.exec(term.name)?.[1];
      if (cls) of.parameters.add(`precursor.g_sh3.${cls}` as ParameterId);
    }
    for (const inner of termsIn(term)) visit(inner, of, equation, isStep);
  };
  for (const line of exampleLines()) visitLine(line);
  return found;
}

let equations: Map<EquationId, Equation> | undefined;

/** An equation of the model. */
export function equationOf(id: EquationId): Equation {
  if (!equations) {
    equations = new Map();
    for (const [of, read] of gathered()) {
      equations.set(of, {
        ...EQUATION_WORDS[of],
        formulas: [...read.formulas],
        parameters: PARAMETER_IDS.filter((p) => read.parameters.has(p)),
        buildsOn: [...read.buildsOn],
        reads: [...read.reads],
      });
    }
    for (const [of, other] of Object.entries(OTHERS)) {
      equations.set(of as EquationId, { ...EQUATION_WORDS[of as EquationId], ...other });
    }
  }
  return equations.get(id)!;
}

/** Parameters that stand in the equation itself. */
export function parametersOf(id: EquationId): readonly ParameterId[] {
  return equationOf(id).parameters;
}

/** An equation and all equations it builds on, each once, itself first. */
export function chainOf(id: EquationId): EquationId[] {
  const chain = new Set<EquationId>([id]);
  for (const member of chain) for (const below of equationOf(member).buildsOn) chain.add(below);
  return [...chain];
}

/** Equations in which a parameter stands. */
export function equationsWith(parameter: ParameterId): EquationId[] {
  return (Object.keys(EQUATION_WORDS) as EquationId[]).filter((id) =>
    parametersOf(id).includes(parameter),
  );
}
