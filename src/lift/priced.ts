/** What the change from one build to another costs, by the prices of a part options file. */
import { type Build, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import { fitParts, keepAll } from './fit.ts';
import { fieldsSet, type PartOptions } from './options.ts';
import type { LiftCost, NumberChange } from './types.ts';

/** Whether a build already has everything that an option sets, by value. */
const hasFitted = (build: ResolvedBuild, fitted: ResolvedBuild, paths: readonly string[]): boolean =>
  paths.every((path) => {
    const [own, wanted] = [build.quantities[path], fitted.quantities[path]];
    if (own && wanted) return own.valueSi === wanted.valueSi && !own.estimated;
    // Curves, the map and facts are compared as the car has them.
    const of = ({ car }: ResolvedBuild) => {
      switch (path) {
        case 'engine.volumetricEfficiency':
          return car.curves.volumetricEfficiency;
        case 'chargeCooler.effectiveness':
          return car.curves.effectiveness;
        case 'targets.boost':
          return [car.curves.boostTarget, car.curves.boostIsGauge];
        case 'targets.lambda':
          return car.curves.lambdaTarget;
        case 'targets.sparkAdvance':
          return car.curves.sparkAdvance;
        case 'turbocharger.compressorMap':
          return car.compressorMap;
        case 'fuel.kind':
          return car.facts.fuelKind;
        default: {
          const [, name = ''] = path.split('.');
          return (car.facts as unknown as Record<string, unknown>)[name];
        }
      }
    };
    return JSON.stringify(of(build)) === JSON.stringify(of(fitted));
  });

/**
 * Prices the change. An option is taken as bought where the build after has all that it sets and the build before has
 * not; of several such at one place the one that sets most. What changed and no bought option sets is listed, unpriced.
 */
export const pricedChange = (
  before: Build,
  after: Build,
  options: PartOptions,
  changes: readonly NumberChange[],
  gainW: number,
): LiftCost => {
  const [one, other] = [resolveBuild(before), resolveBuild(after)];
  const explained = new Set<string>();
  const items = options.places.flatMap(({ place, options: all }, at) => {
    const bought = all
      .map((option, index) => ({ option, paths: fieldsSet(option), index }))
      .filter(({ paths, index }) => {
        const fitted = fitParts(after, options, keepAll(options).with(at, index));
        if (!fitted.ok) return false;
        const resolved = resolveBuild(fitted.build);
        return hasFitted(other, resolved, paths) && !hasFitted(one, resolved, paths);
      })
      .sort((a, b) => b.paths.length - a.paths.length)[0];
    if (!bought) return [];
    for (const path of [...bought.paths, ...(bought.option.replaces ?? [])]) explained.add(path);
    return [{ place, option: bought.option.name, price: bought.option.price }];
  });
  const total = items.reduce((sum, { price }) => sum + price, 0);
  const isExplained = (path: string) => explained.has(path) || explained.has(path.split('.')[0] ?? '');
  return {
    currency: options.currency,
    total,
    items,
    unpriced: changes
      .filter(({ follows, path }) => !follows && !isExplained(path) && !path.startsWith('targets.'))
      .map(({ path }) => path),
    ...(gainW > 0 && total > 0 ? { perW: total / gainW } : {}),
  };
};
