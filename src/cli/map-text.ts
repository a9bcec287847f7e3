/** A compressor map that was read, as text. */
import type { MapView } from '../app/index.ts';
import { fromSi } from '../physics/index.ts';
import { figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

const percent = (share: number, decimals = 1): string => figure(100 * share, decimals);

const KIND = {
  refused: 'not used',
  'left out': 'left out',
  doubtful: 'look at it',
  taken: 'taken for granted',
} as const;

/** The map as it goes into a build sheet: a point a row. */
const snippet = (map: MapView['compressorMap']): string => {
  const { lines, ...head } = map;
  const text = Object.entries(head).map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)},`);
  const drawn = lines.map(({ points, ...line }) => {
    const own = Object.entries(line).map(([key, value]) => `${JSON.stringify(key)}: ${JSON.stringify(value)}, `);
    return `    { ${own.join('')}"points": [\n${points.map((point) => `      ${JSON.stringify(point)}`).join(',\n')}\n    ] }`;
  });
  return ['"compressorMap": {', ...text, '  "lines": [', drawn.join(',\n'), '  ]', '}'].join('\n');
};

export const mapText = (view: MapView, units: UnitSystem): string => {
  const { fit, said } = view;
  const rows = view.lines.map((line) => [
    figure(line.shaftSpeedRpm, 0),
    figure(line.points, 0),
    shown(line.surgeFlowKgPerS, 'airFlow', units),
    shown(line.chokeFlowKgPerS, 'airFlow', units),
    percent(line.fromChokeShare, 0),
    percent(line.toChokeShare, 0),
    `${percent(line.rmsPressureRatio)} / ${percent(line.worstPressureRatio)}`,
    `${percent(line.rmsFlow)} / ${percent(line.worstFlow)}`,
    `${percent(line.rmsEfficiency)} / ${percent(line.worstEfficiency)}`,
    line.rises === 0 ? '' : figure(line.rises, 0),
  ]);
  const notes = view.notes.map(({ line, kind, says }) =>
    wrap(`  ${line === null ? 'Whole map' : `Line ${line}`} (${KIND[kind]}): ${says}.`, 100, '    '),
  );
  const flow = unitText('airFlow', units);
  const basis =
    said.pressureRatioIs === 'total to static'
      ? 'given to static pressure, turned into total to total'
      : said.pressureRatioIs === 'not said'
        ? 'taken as total to total (the file does not say)'
        : 'total to total';
  return [
    `${view.file}: compressor map of ${view.lines.length} speed lines, ${fit.points} points (${view.rowsRead} rows read)`,
    wrap(
      `Corrected to ${figure(fromSi(view.referenceTemperatureK, 'degC'), 1)} degC and ${figure(view.referencePressurePa / 1000, 2)} kPa (${{ file: 'the file says so', asked: 'as you said', 'not needed': 'flow and speed parameters need none; chosen' }[said.referenceFrom]}); flow in ${said.flowUnit}, speed in ${said.speedUnit}; pressure ratio ${basis}.`,
    ),
    '',
    table(
      [
        { head: 'rpm' },
        { head: 'points' },
        { head: `surge ${flow}` },
        { head: `choke ${flow}` },
        { head: 'from %' },
        { head: 'to %' },
        { head: 'ratio %' },
        { head: 'flow %' },
        { head: 'eff. pts' },
        { head: 'rises' },
      ],
      rows,
    ),
    wrap(
      'from, to: flows that the points reach over, of the choke flow. ratio, flow, eff.: points off the fitted line, root mean square / worst.',
    ),
    '',
    wrap(
      `Fit: pressure ratio within ${figure(fit.rmsPressureRatio, 3)} (worst ${figure(fit.worstPressureRatio, 3)}), efficiency within ${percent(fit.rmsEfficiency)} points (worst ${percent(fit.worstEfficiency)}). ` +
        `It adds ${percent(fit.flowDoubt)} % of flow, ${percent(fit.efficiencyDoubt)} % of efficiency and ${percent(fit.speedDoubt)} % of shaft speed to the plus-minus of every prediction.`,
    ),
    ...(notes.length > 0 ? ['', 'What to look at:', ...notes] : []),
    '',
    'Next: put this into the build sheet, under "turbocharger":',
    '',
    snippet(view.compressorMap),
  ].join('\n');
};
