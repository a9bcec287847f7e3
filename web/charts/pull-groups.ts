/** Labels along a strip that would lie on one another become one label for all of them. */

export interface LabelGroup {
  /** First and last of the things labelled, from 0. */
  readonly first: number;
  readonly last: number;
  /** Middle of the label [px]. */
  readonly at: number;
}

/**
 * Groups of neighbours so large that no two labels touch, none cut off by an end of the strip.
 *
 * @param places of the single things [px], ascending
 * @param widthOf a label for things `first` to `last` [px]
 */
export const groupLabels = (
  places: readonly number[],
  widthOf: (first: number, last: number) => number,
  strip: { readonly from: number; readonly to: number },
): LabelGroup[] => {
  const group = (first: number, last: number): LabelGroup & { readonly half: number } => {
    const half = widthOf(first, last) / 2;
    const middle = (places[first]! + places[last]!) / 2;
    return { first, last, half, at: Math.max(strip.from + half, Math.min(strip.to - half, middle)) };
  };
  const groups: ReturnType<typeof group>[] = [];
  places.forEach((_, index) => {
    let own = group(index, index);
    // What grows may reach the one before it, and then that one's neighbour.
    for (let before = groups.at(-1); before && own.at - own.half < before.at + before.half; before = groups.at(-1)) {
      groups.pop();
      own = group(before.first, own.last);
    }
    groups.push(own);
  });
  return groups.map(({ first, last, at }) => ({ first, last, at }));
};
