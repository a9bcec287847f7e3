/** Tyre size designations. */

/**
 * Nominal (unloaded) radius [m] of a tyre written like "225/45R17": half of rim diameter plus twice the section height.
 * Source: ISO 4000-1 size designation (section width mm / aspect ratio %, rim code in inches).
 * Returns NaN-free: throws RangeError on text that is not a size; the build schema refuses such text before.
 */
export const tyreRadiusFromSizeM = (size: string): number => {
  const match = /^(\d{3})\/(\d{2})\s?Z?R(\d{2})$/.exec(size);
  if (!match) throw new RangeError(`"${size}" is not a tyre size like "225/45R17"`);
  const [width, aspect, rim] = match.slice(1).map(Number) as [number, number, number];
  return (rim * 0.0254 + 2 * (width / 1000) * (aspect / 100)) / 2;
};
