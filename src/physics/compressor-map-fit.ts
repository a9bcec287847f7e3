/** A compressor map as data made into a surface, and how well that surface runs through the data. */
import { type CompressorMapPoints, fitLine } from './compressor-line-fit.ts';
import { efficiencyAt, pressureRatioAt } from './compressor-map.ts';
import { type CompressorSurface, type MapFit, surfaceTables } from './compressor-surface.ts';

/**
 * Fits the surface. Total for maps of two or more lines with three or more points each, speeds rising.
 * Source: ellipse speed lines, Leufven & Eriksson (2013); see compressor-surface.ts.
 */
export const fitCompressorMap = (map: CompressorMapPoints, estimated = false): CompressorSurface => {
  const bare: CompressorSurface = {
    ...surfaceTables(map.lines.map(fitLine)),
    referenceTemperatureK: map.referenceTemperatureK,
    referencePressurePa: map.referencePressurePa,
    estimated,
    fit: { rmsPressureRatio: 0, rmsEfficiency: 0, points: 0 },
  };
  return { ...bare, fit: fitQuality(bare, map) };
};

const fitQuality = (surface: CompressorSurface, map: CompressorMapPoints): MapFit => {
  let ratioSum = 0;
  let efficiencySum = 0;
  let points = 0;
  for (const line of map.lines) {
    for (const [flow, ratio, efficiency] of line.points) {
      ratioSum += (pressureRatioAt(surface, line.shaftSpeedRpm, flow) - ratio) ** 2;
      efficiencySum += (efficiencyAt(surface, line.shaftSpeedRpm, flow) - efficiency) ** 2;
      points++;
    }
  }
  return {
    rmsPressureRatio: Math.sqrt(ratioSum / points),
    rmsEfficiency: Math.sqrt(efficiencySum / points),
    points,
  };
};
