/** The turbocharger in section: compressor left, turbine right, on one shaft. */
import { circle, group, path, rect, type Shape } from '../shape.ts';

const half = (): Shape[] => [
  circle('o ti-air', 46, -66, 20),
  path('ti-air', 'M41 -52.5V-44H49V-47.5'),
  path('o', 'M0 -25H12C26 -25 34 -34 37 -48M56 -20V-50'),
  path('df', 'M6 -5.5C26 -7 44 -20 50 -45H41.5C38 -31 29 -22.5 10 -22z'),
  path('d', 'M19 -8.5L21 -23M30 -13L32 -27M39 -21.5L38.5 -35'),
  circle('o ti-hot', 118, -66, 19),
  path('o', 'M164 -27H152C138 -27 131 -34 128 -48M108 -20V-50'),
  path('df', 'M158 -5.5C138 -7 120 -20 114 -45H122.5C126 -31 135 -23.5 155 -24z'),
  path('d', 'M146 -9L144 -24M134 -13L132 -28M125 -21.5L125.5 -35'),
];

export const turboShapes = (): Shape[] => [
  group(
    [
      path('of', 'M56 -28H108V28H56z'),
      path(
        'd',
        'M62 -24h10v11h-10zM62 -24l10 11M72 -24l-10 11M92 -24h10v11h-10zM92 -24l10 11M102 -24l-10 11' +
          'M62 13h10v11h-10zM62 13l10 11M72 13l-10 11M92 13h10v11h-10zM92 13l10 11M102 13l-10 11',
      ),
      path('df', 'M52 -5H112V5H52z'),
      ...half(),
      group(half(), { transform: 'scale(1 -1)' }),
      path('df', 'M2 0C3 -4 8 -6 14 -6.5H152C158 -6 161 -4 162 0C161 4 158 6 152 6.5H14C8 6 3 4 2 0z'),
    ],
    { transform: 'translate(310 444) scale(0.85)' },
  ),
  rect('ti-air', 336.3, 366, 19.4, 26),
  rect('ti-hot', 412, 378.3, 22, 19.4),
];
