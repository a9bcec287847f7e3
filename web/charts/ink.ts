/** Colours of the sheet for what is drawn on a canvas, which cannot follow light-dark() by itself. */
import { type Packed, packed } from './pixels.ts';

const TOKENS = {
  ink: '--ink',
  ink2: '--ink-2',
  ink3: '--ink-3',
  rule: '--rule',
  band: '--band',
  panel: '--panel',
  film: '--film',
  accent: '--accent',
  accentInk: '--accent-ink',
  accentWash: '--accent-wash',
} as const;

export type InkName = keyof typeof TOKENS;
export type Ink = Readonly<Record<InkName, string>>;

const inkFrom = <T>(of: (name: InkName) => T): Readonly<Record<InkName, T>> =>
  Object.fromEntries((Object.keys(TOKENS) as InkName[]).map((name) => [name, of(name)])) as Record<InkName, T>;

/** Reads the tokens as they stand under `host`. */
export const inkOf = (host: Element): Ink => {
  const probe = document.createElement('span');
  // Where the system forces its colours every token would read as the same one: a drawing needs its own.
  probe.style.setProperty('forced-color-adjust', 'none');
  host.append(probe);
  const ink = inkFrom((name) => {
    probe.style.color = `var(${TOKENS[name]})`;
    return getComputedStyle(probe).color;
  });
  probe.remove();
  return ink;
};

export type PackedInk = Readonly<Record<InkName, Packed>>;

/** The same colours as numbers, read back from a canvas, which knows every way of writing a colour. */
export const packedInk = (ink: Ink): PackedInk => {
  const canvas = document.createElement('canvas');
  canvas.width = 1;
  canvas.height = 1;
  const pen = canvas.getContext('2d', { willReadFrequently: true });
  return inkFrom((name) => {
    if (!pen) return packed(0, 0, 0);
    pen.fillStyle = ink[name];
    pen.fillRect(0, 0, 1, 1);
    const [red = 0, green = 0, blue = 0] = pen.getImageData(0, 0, 1, 1).data;
    return packed(red, green, blue);
  });
};
