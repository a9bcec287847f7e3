/** Which of many sets are not beaten by another in price and merit at once. */

export interface Priced {
  readonly price: number;
  /** More is better. */
  readonly merit: number;
}

/**
 * The front of price against merit: an item stays if no other costs as little with more merit, or less with as much.
 * Of items alike in both the first stays. Cheapest first, so merit rises along the answer.
 * Source: Pareto order; for two aims one sweep over the sorted items finds it (Kung, Luccio & Preparata, J. ACM 22 (1975) 469).
 */
export const nonDominated = <T extends Priced>(items: readonly T[]): T[] => {
  const order = items.map((item, index) => ({ item, index }));
  order.sort((a, b) => a.item.price - b.item.price || b.item.merit - a.item.merit || a.index - b.index);
  const front: T[] = [];
  let best = Number.NEGATIVE_INFINITY;
  for (const { item } of order) {
    if (!(item.merit > best)) continue;
    front.push(item);
    best = item.merit;
  }
  return front;
};
