/** A run as tables: its pulls, their curves against the prediction, its channels. */
import type { RunView } from '../../src/app/api.ts';
import { momentWriter } from '../../src/logs/clock-words.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { CHANNEL_WORDS, channelUnit, writeChannel } from './channels.ts';

const PullTable = ({ run }: { run: RunView }) => {
  const units = useUnits();
  const moments = momentWriter(run.log);
  const seconds = moments.isTimeOfDay ? '' : ', s';
  const optional = (value: number | undefined, write: (value: number) => string) =>
    value === undefined ? '–' : write(value);
  return (
    <table className="twin">
      <caption>Pulls</caption>
      <thead>
        <tr>
          <th scope="col">Pull</th>
          <th scope="col">From{seconds}</th>
          <th scope="col">To{seconds}</th>
          <th scope="col">Gears</th>
          <th scope="col">rpm</th>
          <th scope="col">Peak boost, {units.label('pressure')}</th>
          <th scope="col">Most air, {units.label('airFlow')}</th>
          <th scope="col">Hottest charge, {units.label('temperature')}</th>
          <th scope="col">Peak power, {units.label('power')}</th>
        </tr>
      </thead>
      <tbody>
        {run.pulls.map((pull, index) => (
          <tr key={pull.startS}>
            <th scope="row">{index + 1}</th>
            <td>{moments.figure(pull.startS)}</td>
            <td>{moments.figure(pull.endS)}</td>
            <td>{pull.gears.join(', ') || '–'}</td>
            <td>
              {writeNumber(pull.minEngineSpeedRpm, 0)} to {writeNumber(pull.maxEngineSpeedRpm, 0)}
            </td>
            <td>{optional(pull.peakBoostPa, (value) => units.write('pressure', value))}</td>
            <td>{optional(pull.peakAirFlowKgPerS, (value) => units.write('airFlow', value))}</td>
            <td>{optional(pull.maxChargeTemperatureK, (value) => units.write('temperature', value))}</td>
            <td>
              {pull.powerW.combined
                ? `${units.write('power', pull.powerW.combined.p50)} ±${units.writeSpread('power', (pull.powerW.combined.p90 - pull.powerW.combined.p10) / 2)}`
                : '–'}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
};

const CurveTable = ({ run }: { run: RunView }) => {
  const units = useUnits();
  return (
    <>
      {run.pulls.map((pull, index) => (
        <table className="twin" key={pull.startS}>
          <caption>Pull {index + 1}: torque and power by engine speed</caption>
          <thead>
            <tr>
              <th scope="col">rpm</th>
              <th scope="col">Gear</th>
              <th scope="col">Torque, {units.label('torque')}</th>
              <th scope="col">Power, {units.label('power')}</th>
              <th scope="col">Predicted power, {units.label('power')}</th>
            </tr>
          </thead>
          <tbody>
            {pull.curve.map((point) => (
              <tr key={`${point.engineSpeedRpm} ${point.gear}`}>
                <th scope="row">{writeNumber(point.engineSpeedRpm, 0)}</th>
                <td>{point.gear ?? '–'}</td>
                <td>{units.write('torque', point.torqueNm.p50)}</td>
                <td>
                  {units.write('power', point.powerW.p50)} ±
                  {units.writeSpread('power', (point.powerW.p90 - point.powerW.p10) / 2)}
                </td>
                <td>{point.predictedPowerW ? units.write('power', point.predictedPowerW.p50) : '–'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      ))}
    </>
  );
};

const ChannelTable = ({ run }: { run: RunView }) => {
  const units = useUnits();
  return (
    <table className="twin">
      <caption>Channels</caption>
      <thead>
        <tr>
          <th scope="col">Channel</th>
          <th scope="col">Column in the file</th>
          <th scope="col">Unit</th>
          <th scope="col">Lowest</th>
          <th scope="col">Highest</th>
        </tr>
      </thead>
      <tbody>
        {run.channels.map((channel) => (
          <tr key={channel.index}>
            <th scope="row">{CHANNEL_WORDS[channel.channel].name}</th>
            <td>{channel.column}</td>
            <td>{channelUnit(channel.channel, units)}</td>
            <td>{channel.lowest === undefined ? '–' : writeChannel(channel.channel, units, channel.lowest)}</td>
            <td>{channel.highest === undefined ? '–' : writeChannel(channel.channel, units, channel.highest)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
};

export const RunTable = ({ run }: { run: RunView }) => (
  // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
  <section className="draw tables" tabIndex={0} aria-label="The run as tables">
    <PullTable run={run} />
    <CurveTable run={run} />
    <ChannelTable run={run} />
  </section>
);
