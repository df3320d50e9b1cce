// What a kind of stage must state: how it carries compounds, alpha acids and bound thiols of its hops into the
// beer, how much beer its hops hold back, and whether they count as dry-hop load.
import type { CompoundId, FormId } from '#shared/ids.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import type { EquationId } from '#engine/symbols/equation-ids.ts';
import type { Leaf, Line, Term } from '#engine/symbols/term.ts';

/** What becomes of the alpha acids of a stage. */
export type AlphaPath =
  /** They are isomerized by heat, as far as the wort of the stage can hold them. */
  | {
      readonly kind: 'hot';
      /** Factors from alpha acids of the hop to alpha acids in the hot wort. */
      readonly factors: readonly Term[];
      /** Iso-alpha acids per alpha acid at the end of the hot side. */
      readonly isomerized: () => Line;
      /** Most alpha acids of this stage that the wort can hold, mg per L of beer. */
      readonly cap: Term;
    }
  /** They dissolve unchanged, beside humulinones, as far as beer of that temperature can hold them. */
  | {
      readonly kind: 'cold';
      readonly factors: readonly Term[];
      /** Most alpha acids that beer of its temperature can hold, mg/L. */
      readonly held: Term;
    };

/** A stage of a design, in symbols. */
export interface StageTerms {
  readonly use: StageUse;
  /** Its name in the middle of a sentence: "hot steep". */
  readonly where: string;
  /** Whether the yield of all such stages falls with their total load. */
  readonly loads: boolean;
  /** Share of a compound in the hop that the stage carries on, before fermentation and load. */
  readonly yieldOf: (compound: CompoundId) => {
    readonly equation: EquationId;
    readonly term: Term;
  };
  /** Compounds with the same key have the same yield. */
  readonly yieldKey: (compound: CompoundId) => string;
  /** What yeast does to a compound that the stage has carried into the wort or beer. */
  readonly yeast: YeastTerms;
  /** Factors from bound 3SH of the hop to bound 3SH at pitching; `null` where yeast frees none of it. */
  readonly bound: { readonly cys: readonly Term[]; readonly g: readonly Term[] } | null;
  readonly alpha: AlphaPath;
  /**
   * Share of their final level that bitter acids and polyphenols have reached, 0 to 1; `null` where it is not
   * modelled.
   */
  readonly extracted: Line | null;
  /** Whether leaf of its hops ends up in the wort or beer. */
  readonly leavesLeaf: boolean;
  /** L of beer (or wort) held back per kg of hop. */
  readonly loss: (form: FormId) => Leaf;
  /** Where more wort makes up for that loss before the fermenter; `null` where the beer is reduced by it. */
  readonly madeUpIn: 'mash' | 'kettle' | null;
  /**
   * Days at 20 C that are worth as much to hop creep as the hops' time on live yeast; `null` where no yeast is
   * active.
   */
  readonly creepDays: Line | null;
}

/** What yeast does to the compounds of a stage. Every effect is linear in their amounts. */
export interface YeastTerms {
  /** Factors on a compound, before part of the 3SH is acetylated. */
  readonly left: (compound: CompoundId) => readonly Term[];
  /** Factors from geraniol carried into the beer to citronellol, mol per mol; `null` where none is made. */
  readonly citronellol: readonly Term[] | null;
  /** Whether 3SH is present during the fermentation, so that part of it becomes its acetate. */
  readonly acetylates: boolean;
}
