// The additions of a beer in symbols: each with its grams, its dose, and what one gram brings at its stage. Sums over
// additions are built from parts of these, in the order of the process.
import type { Lot } from '#engine/lot/composition.ts';
import { lotName } from '#engine/lot/figures.ts';
import type { Process } from '#engine/process/process.ts';
import type { StageTerms } from '#engine/process/stage.ts';
import { given } from '#engine/symbols/rows.ts';
import { GRAMS, over, type Leaf, type Summand, type Term } from '#engine/symbols/term.ts';
import type { LotAddition } from './design.ts';
import { unitDose, type UnitDose } from './unit-dose.ts';

/** An addition with what a gram of it brings. */
export interface DosedAddition {
  readonly label: string;
  readonly lot: Lot;
  readonly unit: UnitDose;
  readonly grams: Leaf;
  /** g per L of beer */
  readonly dose: Term;
}

export class DosedAdditions {
  private readonly all: readonly DosedAddition[];
  /** Indices of the additions, in the order of the process. */
  private readonly order: readonly number[];

  /** @param additions with their grams; a world may set other grams, by the index of the addition. */
  constructor(process: Process, additions: readonly LotAddition[]) {
    this.all = additions.map(({ lot, stage, grams }, i) => {
      const unit = unitDose(process, lot, stage);
      const name = `${lot.hop} in the ${unit.stage.where}`;
      const input = { of: GRAMS, name: String(i) };
      const mass = { ...given(`grams/${lot.hop}/${stage}`, grams, name, 'g'), input };
      const label = `${lotName(lot)}, ${unit.stage.where}`;
      return { label, lot, unit, grams: mass, dose: over(mass, process.beer) };
    });
    const place = (i: number) => process.stages.indexOf(this.all[i]!.unit.stage);
    this.order = [...this.all.keys()].sort((a, b) => place(a) - place(b));
  }

  at(index: number): DosedAddition {
    return this.all[index]!;
  }

  /** One part for each addition for which `termOf` gives a term. */
  parts(
    termOf: (addition: DosedAddition, index: number) => Term | null,
    isIn: (addition: DosedAddition) => boolean = () => true,
  ): Summand[] {
    const parts: Summand[] = [];
    for (const i of this.order) {
      const of = this.all[i]!;
      const term = isIn(of) ? termOf(of, i) : null;
      if (term) parts.push({ label: of.label, term });
    }
    return parts;
  }

  /** Stages at which something is added, in the order of the process. */
  get stages(): readonly StageTerms[] {
    return [...new Set(this.order.map((i) => this.all[i]!.unit.stage))];
  }

  get hasDryHops(): boolean {
    return this.stages.some((stage) => stage.loads);
  }
}
