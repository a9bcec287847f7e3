/** What the fuel is: each property with its plus-minus and source; beside it, where something is tried, that of the sheet. */
import type { FuelSheet } from '../../src/match/index.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { writeNumber } from '../state/units.ts';
import { writeProperty } from './fuel-data.ts';

const sharesIn = ({ shares }: FuelSheet): string =>
  shares === null
    ? 'diesel'
    : (['petrol', 'ethanol', 'methanol', 'toluene'] as const)
        .filter((name) => shares[name] > 0)
        .map((name) => `${writeNumber(100 * shares[name], 1).replace(/\.0$/, '')} % ${name}`)
        .join(', ');

export const FuelProperties = ({ fuel, sheet }: { fuel: FuelSheet; sheet: FuelSheet | null }) => {
  const before = new Map(sheet?.properties.map((property) => [property.key, property]) ?? []);
  const { poured, shares } = fuel;
  return (
    <>
      <table className="twin sheet-group fuel-props">
        <caption>{fuel.name}</caption>
        <thead>
          <tr>
            <th scope="col">Property</th>
            <th scope="col" className="num">
              Value
            </th>
            <th scope="col">±</th>
            {sheet && (
              <th scope="col" className="num">
                Sheet has
              </th>
            )}
            <th scope="col">Source</th>
          </tr>
        </thead>
        <tbody>
          {fuel.properties.map((property) => {
            const written = writeProperty(property);
            const was = before.get(property.key);
            return (
              <tr key={property.key}>
                <th scope="row">{property.about}</th>
                <td className="num">
                  {written.value}
                  <span className="u">{written.unit}</span>
                </td>
                <td className="num pm">±{written.spread}</td>
                {sheet && <td className="num was">{was ? writeProperty(was).value : '–'}</td>}
                <td className="from">
                  <SourceMark source={property.source} />
                  <span aria-hidden="true" title={property.note}>
                    {property.source.replace('-', ' ')}
                  </span>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p className="note">
        By volume: {sharesIn(fuel)}.{' '}
        {poured && shares && Math.abs(poured.ethanol - shares.ethanol) > 5e-4 && (
          <>
            Pour {writeNumber(100 * poured.petrolAsSold, 1)} % pump petrol, which brings its own ethanol, and{' '}
            {writeNumber(100 * Math.max(0, poured.ethanol), 1)} % ethanol.{' '}
          </>
        )}
        Mean formula CH<sub>{fuel.hydrogenToCarbon.toFixed(2)}</sub>
        {fuel.oxygenToCarbon > 0 && (
          <>
            O<sub>{fuel.oxygenToCarbon.toFixed(3)}</sub>
          </>
        )}
        , {writeNumber(1000 * fuel.molarMassKgPerMol, 0)} g/mol. AFR always names its fuel; lambda is the same for all.
      </p>
    </>
  );
};
