/** Names on a drawing that do not run into each other: each is put where there is room, or left out. */

/** A name's place: where it is anchored, and how it lies to that point. */
export interface LabelPlace {
  readonly x: number;
  /** Baseline. */
  readonly y: number;
  readonly anchor: 'start' | 'middle' | 'end';
}
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Mean width of a figure or small letter over the size of the type (IBM Plex Sans, tabular figures). */
const LETTER = 0.6;
const GAP = 2;

/** The box of a name set in type of `size` px at a place. */
export const labelBox = (text: string, size: number, { x, y, anchor }: LabelPlace): Box => {
  const width = text.length * LETTER * size;
  const left = anchor === 'start' ? x : anchor === 'end' ? x - width : x - width / 2;
  return { left: left - GAP, top: y - 0.82 * size - GAP, right: left + width + GAP, bottom: y + 0.24 * size + GAP };
};

const touch = (a: Box, b: Box): boolean => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** What is taken on a drawing so far. */
export interface LabelField {
  readonly take: (box: Box) => void;
  /** The first of the places where the name touches nothing and lies inside the drawing; takes it. Null when there is none. */
  readonly place: (text: string, size: number, places: readonly LabelPlace[]) => LabelPlace | null;
}

export const labelField = (inside: Box): LabelField => {
  const taken: Box[] = [];
  return {
    take: (box) => {
      taken.push(box);
    },
    place: (text, size, places) => {
      for (const at of places) {
        const box = labelBox(text, size, at);
        const within =
          box.left >= inside.left && box.right <= inside.right && box.top >= inside.top && box.bottom <= inside.bottom;
        if (!within || taken.some((other) => touch(other, box))) continue;
        taken.push(box);
        return at;
      }
      return null;
    },
  };
};

/** Places round a dot, best first. */
export const placesRound = (x: number, y: number, away = 10): LabelPlace[] => [
  { x: x + away, y: y + 17, anchor: 'start' },
  { x: x - away, y: y - 9, anchor: 'end' },
  { x, y: y + 24, anchor: 'middle' },
  { x, y: y - 12, anchor: 'middle' },
  { x: x + away + 2, y: y + 4, anchor: 'start' },
  { x: x - away - 2, y: y + 5, anchor: 'end' },
  { x: x + away, y: y - 9, anchor: 'start' },
  { x: x - away, y: y + 17, anchor: 'end' },
  { x, y: y + 38, anchor: 'middle' },
  { x, y: y - 26, anchor: 'middle' },
];
