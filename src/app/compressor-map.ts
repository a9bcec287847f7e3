/** A compressor map read from a file, as `boostwright map --json` prints it. */
import { type ReadMapOptions, readCompressorMap } from '../logs/index.ts';
import { fittedCompressorMap } from '../physics/index.ts';
import type { MapView } from './map-api.ts';
import { BadInput } from './problems.ts';

/** Where a map may be from. */
export { SOURCES as MAP_SOURCES } from '../car/index.ts';
export type { ReadMapOptions } from '../logs/index.ts';

export interface MapRequest extends ReadMapOptions {
  readonly bytes: Uint8Array;
  readonly name: string;
}

/**
 * Reads, checks and fits.
 * @throws BadInput with one sentence on why the file cannot be used, and every row that was refused.
 */
export const mapFromFile = ({ bytes, name, ...options }: MapRequest): MapView => {
  const read = readCompressorMap(bytes, options);
  if (!read.ok) {
    throw new BadInput(
      `map-${read.code}`,
      `${name}: ${read.says}`,
      read.notes.map(({ line, says }) => ({ path: line === null ? '' : `line ${line}`, says })),
    );
  }
  const { map, fit, notes, rowsRead, said } = read;
  const { lines } = fittedCompressorMap(map);
  const { lines: qualities, strays: _, ...whole } = fit;
  return {
    schema: 'boostwright.map/1',
    file: name,
    rowsRead,
    said,
    referenceTemperatureK: map.referenceTemperatureK,
    referencePressurePa: map.referencePressurePa,
    fit: whole,
    lines: qualities.map((quality, i) => ({
      ...quality,
      surgeFlowKgPerS: lines[i]?.surgeFlowKgPerS ?? 0,
      chokeFlowKgPerS: lines[i]?.chokeFlowKgPerS ?? 0,
    })),
    notes,
    compressorMap: map,
  };
};
