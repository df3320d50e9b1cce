// The port a person asked for.
import { failure, success, type Outcome } from '#shared/outcome.ts';

export const USUAL_PORT = 4173;
const PORT_MAX = 65_535;

/** The port in a text; the usual one where there is no text. */
export function portOf(text: string | undefined): Outcome<number> {
  if (text === undefined || text === '') return success(USUAL_PORT);
  const port = Number(text);
  if (Number.isInteger(port) && port >= 0 && port <= PORT_MAX) return success(port);
  return failure({
    path: '',
    message: `"${text}" is not a port`,
    cure: `Give a whole number, 0 to ${PORT_MAX}`,
  });
}
