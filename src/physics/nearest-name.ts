/** The name that was meant: for every place where a person types one. */

/**
 * The nearest of some names by edits (insert, delete, replace, swap), when near enough to have been meant.
 * Source: Damerau, Comm. ACM 7 (1964) 171, no letter edited twice (from memory).
 */
export const nearestName = (typed: string, names: readonly string[]): string | undefined => {
  const distance = (a: string, b: string): number => {
    const grid = Array.from({ length: a.length + 1 }, (_, i) => [i, ...new Array<number>(b.length).fill(0)]);
    for (let j = 1; j <= b.length; j += 1) (grid[0] as number[])[j] = j;
    for (let i = 1; i <= a.length; i += 1) {
      for (let j = 1; j <= b.length; j += 1) {
        const at = (x: number, y: number) => grid[x]?.[y] ?? Number.POSITIVE_INFINITY;
        let least = Math.min(at(i - 1, j) + 1, at(i, j - 1) + 1, at(i - 1, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1));
        if (a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) least = Math.min(least, at(i - 2, j - 2) + 1);
        (grid[i] as number[])[j] = least;
      }
    }
    return grid[a.length]?.[b.length] ?? Number.POSITIVE_INFINITY;
  };
  const ranked = names
    .map((name) => ({ name, edits: distance(typed.toLowerCase(), name.toLowerCase()) }))
    .sort((a, b) => a.edits - b.edits);
  const [best] = ranked;
  return best && best.edits <= Math.max(2, Math.floor(best.name.length / 3)) ? best.name : undefined;
};
