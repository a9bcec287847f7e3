/** Dialog: the fit of the shown map, line by line. */
import type { CompressorMapView } from '../../src/app/api.ts';
import { Panel } from '../parts/Panel.tsx';
import { writeNumber } from '../state/units.ts';
import { fitSays } from './compressor-data.ts';
import { MapFitTable } from './MapFitTable.tsx';

export const MapFitPanel = ({ map, open, close }: { map: CompressorMapView; open: boolean; close: () => void }) => (
  <Panel title="How well the map fits" open={open} close={close}>
    <p>{fitSays(map)}</p>
    <MapFitTable fit={map.fit} />
    {map.fit.strays.length > 0 && (
      <>
        <h3>Points that stray</h3>
        <ul className="notes">
          {map.fit.strays.map((stray) => (
            <li key={`${stray.line} ${stray.point}`}>
              {writeNumber(stray.shaftSpeedRpm / 1000, 1)} krpm, point {stray.point + 1}:{' '}
              {writeNumber(Math.abs(stray.pressureRatioOff) * 100, 1)} % of pressure ratio{' '}
              {stray.pressureRatioOff > 0 ? 'above' : 'below'} its line. Check it for a slip of the hand.
            </li>
          ))}
        </ul>
      </>
    )}
    <p className="note">
      Flow counts where a line is steep, over its choke flow. What the fit leaves in doubt is added, in squares, to the
      plus-minus of the map.
    </p>
  </Panel>
);
