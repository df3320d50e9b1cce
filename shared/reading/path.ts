// How a place inside a document is named in problems.
// One way of writing it, so that a person can find the place by searching for the words.

/** Field names and list positions from the outside in. */
export type Path = readonly (string | number)[];

/** Longest name written in full, characters; ours are far shorter. */
const NAME_MAX = 80;

/** `additions[0].grams`; a name that is not a plain word stands in brackets and quotes. */
export function pathText(path: Path): string {
  return path.reduce<string>((text, whole) => {
    if (typeof whole === 'number') return `${text}[${whole}]`;
    const step = whole.length > NAME_MAX ? `${whole.slice(0, NAME_MAX)}…` : whole;
    if (!/^[\p{L}_][\p{L}\p{N}_]*$/u.test(step)) return `${text}[${JSON.stringify(step)}]`;
    return text === '' ? step : `${text}.${step}`;
  }, '');
}
