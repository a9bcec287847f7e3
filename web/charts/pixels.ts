/**
 * A small picture drawn pixel by pixel. While traces move, all of them are drawn anew for every frame: without a graphics
 * processor this takes a twentieth of the time that a canvas needs for the same lines.
 *
 * What is drawn goes through a mask of coverage (0 to 255), so that a line that meets itself is not darker there, and is
 * then inked in one colour. Places are in pixels of the screen, the middle of the first one at 0.5.
 */

/** Opaque colours as a canvas keeps them in memory: red in the lowest byte. */
export type Packed = number;

export const packed = (red: number, green: number, blue: number): Packed =>
  (0xff000000 | (blue << 16) | (green << 8) | red) >>> 0;

/** `over` laid on `under`, `share` of 256 of it. Red and blue are worked out together, and so are sixteen bits apart. */
export const mixed = (under: Packed, over: Packed, share: number): Packed => {
  const rest = 256 - share;
  const redBlue = (((under & 0xff00ff) * rest + (over & 0xff00ff) * share) >>> 8) & 0xff00ff;
  const green = (((under & 0xff00) * rest + (over & 0xff00) * share) >>> 8) & 0xff00;
  return (0xff000000 | redBlue | green) >>> 0;
};

export class Pixels {
  readonly width: number;
  readonly height: number;
  /** Colour of every pixel, row by row. */
  readonly colours: Uint32Array<ArrayBuffer>;
  /** Coverage of every pixel by what is being drawn; nought everywhere but between drawing and inking. */
  readonly #mask: Uint8Array;
  /** The mask four pixels at a time. */
  readonly #quads: Uint32Array;
  #left = 0;
  #right: number;
  /** Rows and columns of the mask that may hold anything. */
  #first: number;
  #last = -1;
  #from: number;
  #to = -1;

  constructor(width: number, height: number) {
    this.width = Math.max(1, Math.floor(width));
    this.height = Math.max(1, Math.floor(height));
    this.#right = this.width;
    this.#first = this.height;
    this.#from = this.width;
    this.colours = new Uint32Array(this.width * this.height);
    const buffer = new ArrayBuffer(Math.ceil((this.width * this.height) / 4) * 4);
    this.#mask = new Uint8Array(buffer);
    this.#quads = new Uint32Array(buffer);
  }

  /** Nothing is drawn outside the columns `left` to `right` from here on. */
  clip(left: number, right: number): void {
    this.#left = Math.max(0, Math.floor(left));
    this.#right = Math.min(this.width, Math.ceil(right));
  }

  clear(colour: Packed): void {
    this.colours.fill(colour);
  }

  /** A box of whole pixels in one colour, without edges softened. */
  box(left: number, top: number, right: number, bottom: number, colour: Packed): void {
    const from = Math.max(this.#left, Math.round(left));
    const to = Math.min(this.#right, Math.round(right));
    if (to <= from) return;
    const last = Math.min(this.height, Math.round(bottom));
    for (let row = Math.max(0, Math.round(top)); row < last; row++) {
      this.colours.fill(colour, row * this.width + from, row * this.width + to);
    }
  }

  /** Inks a column between two heights, both ends softened, over what is there. */
  upright(column: number, top: number, bottom: number, colour: Packed): void {
    if (column < this.#left || column >= this.#right) return;
    const { colours, width, height } = this;
    const from = Math.max(0, top);
    const to = Math.min(height, bottom);
    if (!(to > from)) return;
    const first = Math.floor(from);
    const last = Math.ceil(to) - 1;
    let at = first * width + column;
    if (first === last) {
      colours[at] = mixed(colours[at]!, colour, Math.round(256 * (to - from)));
      return;
    }
    colours[at] = mixed(colours[at]!, colour, Math.round(256 * (first + 1 - from)));
    at += width;
    for (let row = first + 1; row < last; row++, at += width) colours[at] = colour;
    colours[at] = mixed(colours[at]!, colour, Math.round(256 * (to - last)));
  }

  #touch(first: number, last: number, from: number, to: number): void {
    if (first < this.#first) this.#first = Math.max(0, first);
    if (last > this.#last) this.#last = Math.min(this.height - 1, last);
    if (from < this.#from) this.#from = Math.max(0, from);
    if (to > this.#to) this.#to = Math.min(this.width - 1, to);
  }

  #cover(at: number, share: number): void {
    const value = share >= 1 ? 255 : Math.round(255 * share);
    if (value > this.#mask[at]!) this.#mask[at] = value;
  }

  /** Into the mask: an upright line of any width at any place, from top to bottom. */
  uprightLine(x: number, wide: number, top = 0, bottom = this.height): void {
    const from = x - wide / 2;
    const to = x + wide / 2;
    this.#touch(Math.round(top), Math.round(bottom) - 1, Math.floor(from), Math.ceil(to));
    for (let column = Math.max(this.#left, Math.floor(from)); column < Math.min(this.#right, to); column++) {
      const share = Math.min(to, column + 1) - Math.max(from, column);
      for (let row = Math.max(0, Math.round(top)); row < Math.min(this.height, Math.round(bottom)); row++) {
        this.#cover(row * this.width + column, share);
      }
    }
  }

  /**
   * Into the mask: a straight line with round ends. A pixel is covered by how near its middle lies to the line, which is
   * right to some hundredths for lines wider than a pixel.
   */
  line(x0: number, y0: number, x1: number, y1: number, wide: number): void {
    const reach = wide / 2 + 0.5;
    const dx = x1 - x0;
    const dy = y1 - y0;
    const length = Math.sqrt(dx * dx + dy * dy);
    const ux = length > 0 ? dx / length : 1;
    const uy = length > 0 ? dy / length : 0;
    const lowX = Math.max(this.#left, Math.floor(Math.min(x0, x1) - reach));
    const highX = Math.min(this.#right - 1, Math.floor(Math.max(x0, x1) + reach));
    const lowY = Math.max(0, Math.floor(Math.min(y0, y1) - reach));
    const highY = Math.min(this.height - 1, Math.floor(Math.max(y0, y1) + reach));
    this.#touch(lowY, highY, lowX, highX);
    // By columns where it is flat, by rows where it is steep: as few pixels as it has are looked at.
    if (Math.abs(dx) >= Math.abs(dy)) {
      const spread = reach / Math.abs(ux);
      const slope = dx === 0 ? 0 : dy / dx;
      for (let column = lowX; column <= highX; column++) {
        const rx = column + 0.5 - x0;
        const middle = y0 + slope * (dx > 0 ? Math.min(dx, Math.max(0, rx)) : Math.max(dx, Math.min(0, rx)));
        const to = Math.min(highY, Math.floor(middle + spread));
        for (let row = Math.max(lowY, Math.floor(middle - spread)); row <= to; row++) {
          this.#near(row * this.width + column, rx, row + 0.5 - y0, ux, uy, length, reach);
        }
      }
    } else {
      const spread = reach / Math.abs(uy);
      const slope = dx / dy;
      for (let row = lowY; row <= highY; row++) {
        const ry = row + 0.5 - y0;
        const middle = x0 + slope * (dy > 0 ? Math.min(dy, Math.max(0, ry)) : Math.max(dy, Math.min(0, ry)));
        const to = Math.min(highX, Math.floor(middle + spread));
        for (let column = Math.max(lowX, Math.floor(middle - spread)); column <= to; column++) {
          this.#near(row * this.width + column, column + 0.5 - x0, ry, ux, uy, length, reach);
        }
      }
    }
  }

  /** Covers the pixel `at`, which lies `rx`, `ry` from the beginning of a line, by how near it is to the line. */
  #near(at: number, rx: number, ry: number, ux: number, uy: number, length: number, reach: number): void {
    const run = rx * ux + ry * uy;
    let off: number;
    if (run < 0) off = Math.sqrt(rx * rx + ry * ry);
    else if (run > length) off = Math.sqrt((rx - ux * length) ** 2 + (ry - uy * length) ** 2);
    else off = Math.abs(rx * uy - ry * ux);
    if (off < reach) this.#cover(at, reach - off);
  }

  /** Into the mask: a disc. */
  disc(x: number, y: number, radius: number): void {
    this.line(x, y, x, y, 2 * radius);
  }

  /** Goes on, up to the column `to`, with what the mask holds in `step` columns from `from`. */
  repeat(from: number, step: number, to: number): void {
    const mask = this.#mask;
    const end = Math.min(to, this.#right);
    for (let row = this.#first; row <= this.#last; row++) {
      for (let at = row * this.width + from + step, stop = row * this.width + end; at < stop; at++) {
        mask[at] = mask[at - step]!;
      }
    }
    if (end - 1 > this.#to) this.#to = end - 1;
  }

  /** Inks what was drawn into the mask, and leaves the mask empty. */
  ink(colour: Packed): void {
    const mask = this.#mask;
    const quads = this.#quads;
    const { colours, width } = this;
    for (let row = this.#first; row <= this.#last; row++) {
      const end = (row * width + this.#to) >> 2;
      for (let quad = (row * width + this.#from) >> 2; quad <= end; quad++) {
        // Mostly nothing is there.
        if (quads[quad] === 0) continue;
        for (let at = 4 * quad; at < 4 * quad + 4; at++) {
          const covered = mask[at]!;
          if (covered === 255) colours[at] = colour;
          else if (covered > 0) colours[at] = mixed(colours[at]!, colour, covered + (covered >> 7));
        }
        quads[quad] = 0;
      }
    }
    this.#first = this.height;
    this.#last = -1;
    this.#from = this.width;
    this.#to = -1;
  }
}
