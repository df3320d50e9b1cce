// What a kind of stage must say of itself: how it carries compounds, alpha acids and bound thiols of its
// hops into the beer, what it holds back, and whether its hops count as dry-hop load.
import type { CompoundId, FormId } from '#shared/ids.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import type { EquationId } from '#engine/symbols/equation-ids.ts';
import type { Leaf, Line, Term } from '#engine/symbols/term.ts';

/** Where the alpha acids of a stage go. */
export type AlphaPath =
  /** Isomerized by heat, as far as the wort of the stage can hold them. */
  | {
      readonly kind: 'hot';
      /** On alpha acids of the hop, to those in the hot wort. */
      readonly factors: readonly Term[];
      /** Iso-alpha acids per alpha acid at the end of the hot side. */
      readonly isomerized: () => Line;
      /** What the wort can hold of this stage's, mg per L of beer. */
      readonly cap: Term;
    }
  /** Dissolved as they are, with humulinones beside them, as far as beer that cold can hold them. */
  | {
      readonly kind: 'cold';
      readonly factors: readonly Term[];
      /** What beer of its temperature holds, mg/L. */
      readonly held: Term;
    };

/** A stage in use, in symbols. */
export interface StageTerms {
  readonly use: StageUse;
  /** As it stands in the middle of a sentence: "hot steep". */
  readonly where: string;
  /** Whether the yield of all such stages falls with their total load. */
  readonly loads: boolean;
  /** Share of a compound in the hop that the stage carries on, before fermentation and load. */
  readonly yieldOf: (compound: CompoundId) => {
    readonly equation: EquationId;
    readonly term: Term;
  };
  /** Yields are alike for compounds of the same key. */
  readonly yieldKey: (compound: CompoundId) => string;
  /** What yeast makes of a compound the stage has carried on. */
  readonly yeast: YeastTerms;
  /** Factors on bound 3SH of the hop to that at pitching; `null` where yeast frees none of it. */
  readonly bound: { readonly cys: readonly Term[]; readonly g: readonly Term[] } | null;
  readonly alpha: AlphaPath;
  /** Part of their final level that bitter acids and polyphenols have reached; `null` where not followed. */
  readonly extracted: Line | null;
  /** Whether its leaf ends up in the wort or beer. */
  readonly leavesLeaf: boolean;
  /** L of beer (or wort) held back per kg of hop. */
  readonly loss: (form: FormId) => Leaf;
  /** Where more wort makes up for that before the fermenter; `null` where the beer is short of it. */
  readonly madeUpIn: 'mash' | 'kettle' | null;
  /** Days at 20 C that its time on live yeast is worth to hop creep; `null`: no yeast is at work. */
  readonly creepDays: Line | null;
}

/** What yeast does to compounds of a stage; all of it linear. */
export interface YeastTerms {
  /** Factors on a compound, before any 3SH is acetylated. */
  readonly left: (compound: CompoundId) => readonly Term[];
  /** Factors from geraniol carried on to citronellol, mol per mol; `null` where none is made. */
  readonly citronellol: readonly Term[] | null;
  /** Whether 3SH is there while it ferments, so that part of it becomes its acetate. */
  readonly acetylates: boolean;
}
