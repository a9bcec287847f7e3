/** Pictures of parts and sheets in a 28 by 28 box, drawn with one line weight. */
import { circle, path, rect, type Shape } from './shape.ts';

const line = (d: string): Shape => path('g-line', d);
const full = (d: string): Shape => path('g-full', d);
const ring = (x: number, y: number, r: number): Shape => circle('g-line', x, y, r);
const disc = (x: number, y: number, r: number): Shape => circle('g-full', x, y, r);

export const ICONS = {
  mark: [
    line('M13 6.5A8.5 8.5 0 1 0 21.5 15V2.5M13 6.5c2.6 0 3.9-1.4 3.9-4M16.9 2.5h4.6'),
    path('g-accent', 'M13 1v26'),
  ],
  filter: [line('M5 5l14 5v8L5 23z'), line('M9 7v14M13.5 8.5v11M19 12h6M19 16h6')],
  lift: [line('M3 24h22M8 24V16h5v8M16 24V8h5v16M9 10l4-4 4 0M18.5 3.5L15 6')],
  meter: [line('M3 8h22M3 20h22M14 8v4M14 20v-4M11 12h6v4h-6z')],
  compressor: [ring(12.5, 16, 3.6), line('M12.5 7.5A8.5 8.5 0 1 0 21 16V3.5M12.5 7.5c2.6 0 3.7-1.4 3.7-4M16.2 3.5H21')],
  cooler: [line('M4 4h20v20H4zM9 4v20M19 4v20M9 7.5l10 3.2-10 3.2 10 3.2-10 3.2')],
  nozzle: [line('M14 3v6M10.5 9h7l-2 5h-3zM14 17.5v2M9.5 18.5L8 22M18.5 18.5L20 22M14 23v2')],
  throttle: [line('M3 8h22M3 20h22M9 20L19 8'), disc(14, 14, 1.8)],
  gauge: [ring(14, 14, 9), line('M14 14l4-5M7.5 18h2M18.5 18h2')],
  injector: [line('M11 3h6v5h-6zM9.5 8h9v8h-9zM12 16h4v4h-4zM13 22l-2 3M15 22l2 3')],
  pump: [ring(14, 14, 9), full('M14 5l5 8H9z'), line('M14 23v3M14 2v3')],
  piston: [line('M7 4h14v10H7zM7 7.5h14M12.5 11l-1 10M15.5 11l1 10'), ring(14, 23, 2.6)],
  manifold: [line('M4 4v5c0 6 5 9 10 9s10-3 10-9V4M10.7 4v8.5M17.3 4v8.5M14 18v7')],
  turbine: [disc(15.5, 16, 3.6), line('M15.5 7.5A8.5 8.5 0 1 1 7 16V3.5M15.5 7.5c-2.6 0-3.7-1.4-3.7-4M11.8 3.5H7')],
  wastegate: [line('M2 21h6M20 21h6M8 21l3-6h6l3 6M14 15V7M8 7h12M8 4h12')],
  lambda: [line('M2 18h24M2 24h24M11 18v-5h6v5M12.5 13V7h3v6M14 7V3')],
  exhaust: [line('M2 14h4M22 14h4M6 8h16v12H6zM10 12h8M10 16h8')],
  clutch: [line('M9.5 4v20M13 6.5v15M15.5 6.5v15M19 4v20M2 14h7.5M19 14h7')],
  gearbox: [ring(10, 9.5, 4.8), ring(17, 18.5, 6.5), line('M10 9.5h.01M17 18.5h.01M2 9.5h3M23.5 18.5H27')],
  finalDrive: [ring(13, 14, 6.5), line('M13 2v5.5M13 20.5V26M19.5 14H26')],
  tyre: [rect('g-line', 8, 3, 12, 22, { rx: 4 }), line('M8 9l6 2.5L20 9M8 14l6 2.5L20 14M8 19l6 2.5L20 19')],
  headroom: [line('M3 9h12v10H3zM19 3v22M19 7l5-3.6M19 13l5-3.6M19 19l5-3.6M19 25l5-3.6')],
  runs: [line('M14 2v24M3 18c4 0 5-1 7-6s4 9 6 5 3-10 9-10')],
  map: [line('M4 3v21h21'), line('M8 20C10 12 14 6 19 5M13 20c1-5 4-9 9-10')],
  sheet: [line('M6 3h16v22H6zM10 8h8M10 12h8M10 16h5')],
  caution: [line('M14 3.5L26 24.5H2z'), line('M14 11v6.5M14 20.8v.4')],
  check: [line('M5 15l6 6L24 7')],
  file: [line('M7 3h10l5 5v17H7zM17 3v5h5')],
  light: [
    ring(14, 14, 5),
    line('M14 3v3M14 22v3M3 14h3M22 14h3M6.2 6.2l2.1 2.1M19.7 19.7l2.1 2.1M6.2 21.8l2.1-2.1M19.7 8.3l2.1-2.1'),
  ],
} as const satisfies Record<string, readonly Shape[]>;

export type IconName = keyof typeof ICONS;
