// Cuts the rows of the stock into parts that start one after the other, so that what a person types in one row outlives
// what happens to others.

/**
 * Cuts rows into parts of so many; from then on a row stays in its part while others come and go, so what is
 * typed in it stays. A new row joins the part of the one before it. Parts stand in the order of their rows.
 */
export function keepingParts<Row extends { readonly id: string }>(
  size: number,
): (
  rows: readonly Row[],
) => { readonly part: number; readonly from: number; readonly rows: Row[] }[] {
  const partOf = new Map<string, number>();
  return (rows) => {
    if (partOf.size === 0) rows.forEach(({ id }, i) => partOf.set(id, Math.floor(i / size)));
    const parts: { part: number; from: number; rows: Row[] }[] = [];
    const begun = new Set<number>();
    rows.forEach((row, from) => {
      const last = parts.at(-1);
      const own = partOf.get(row.id) ?? last?.part ?? 0;
      if (last && (own === last.part || begun.has(own))) last.rows.push(row);
      else parts.push({ part: own, from, rows: [row] });
      const { part } = parts.at(-1)!;
      begun.add(part);
      partOf.set(row.id, part);
    });
    return parts;
  };
}
