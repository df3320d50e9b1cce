// What a figure on the page may say it is from: ids of provenance, typed, so that one that stands for
// nothing does not compile. Elements take it as `data-from`; a text there is a lint error.
import type { AnalyteId, AxisId, CompoundId, SchoolId } from '#shared/ids.ts';
import type { EquationId } from '#engine/symbols/equation-ids.ts';
import type { ParameterId } from '#engine/tables/model.ts';
import type { CountId, FigureFound, SearchId } from './provenance.ts';

/** An equation, and what it is of where it stands for one of several figures. */
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

/** A part of what somebody gave. */
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
  /** Of a hop of the table, by its key. */
  | `cell/${string}/${AnalyteId}`
  | `source/${string}`
  | `experiment/${string}`;

declare const checked: unique symbol;
/** The value of `data-from`: one id or several, parted by spaces. Made by `cite` alone. */
export type FigureFrom = string & { readonly [checked]: true };

/** Where a figure is from: the ids of all that stands behind it. */
export function cite(...ids: readonly (FigureId | FigureFrom)[]): FigureFrom {
  return ids.join(' ') as FigureFrom;
}

/** Where a figure is from that the tables were asked for. */
export function citeFound({ id }: Pick<FigureFound, 'id'>): FigureFrom {
  return id as FigureFrom;
}
