// The ids of provenance that a figure on the page may state as its origin. They are typed, so an id that stands
// for nothing does not compile. Elements carry them as `data-from`; a plain text there is a lint error.
import type { AnalyteId, AxisId, CompoundId, SchoolId } from '#shared/ids.ts';
import type { EquationId } from '#engine/symbols/equation-ids.ts';
import type { ParameterId } from '#engine/tables/model.ts';
import type { CountId, FigureFound, SearchId } from './provenance.ts';

/** An equation, with its subject where it stands for one of several figures. */
type EquationFigure =
  | `equation/${EquationId}`
  | `equation/${'intensity' | 'signal'}/${AxisId}`
  | `equation/${'concentration' | 'odour_activity'}/${CompoundId}`
  | `equation/shelf/${CompoundId}/${number}`
  | `equation/shelf_axes/${AxisId}/${number}`
  | `equation/storage/${AnalyteId}`
  | 'equation/hop_weight/per_l'
  | 'equation/creep_to_come/in_all'
  | 'equation/carbonation/planned';

/** A path of something that a person gave. */
type InputPath =
  | 'additions'
  | 'batch'
  | 'batch.beer_l'
  | 'batch.shelf_temp_c'
  | 'brief'
  | 'grams_on_hand'
  | 'last_edit'
  | 'limits'
  | 'locked'
  | 'own_tables'
  | 'stages'
  | 'storage.months'
  | 'target'
  | `target.${AxisId}`
  | 'tasting';

export type FigureId =
  | EquationFigure
  | `input/${InputPath}`
  | `search/${SearchId}`
  | `count/${CountId}`
  | `parameter/${ParameterId}`
  | `threshold/${CompoundId}`
  | `threshold/${CompoundId}/${SchoolId}`
  /** A figure of a hop of the table, by the key of the hop. */
  | `cell/${string}/${AnalyteId}`
  | `source/${string}`
  | `experiment/${string}`;

declare const checked: unique symbol;
/** The value of `data-from`: one id or several, separated by spaces. Only `cite` makes one. */
export type FigureFrom = string & { readonly [checked]: true };

/** The origin of a figure: the ids of everything behind it. */
export function cite(...ids: readonly (FigureId | FigureFrom)[]): FigureFrom {
  return ids.join(' ') as FigureFrom;
}

/** The origin of a figure that was looked up in the tables. */
export function citeFound({ id }: Pick<FigureFound, 'id'>): FigureFrom {
  return id as FigureFrom;
}
