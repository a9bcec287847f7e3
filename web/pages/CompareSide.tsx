/** Beside the overlays: which pulls these are, what accounts for the difference at the hairline, what changed, what is alike. */
import type { ComparedSideView, CompareView, ComparisonView } from '../../src/app/compare-api.ts';
import { fromSi, isUnit } from '../../src/physics/units.ts';
import { Caution } from '../parts/Caution.tsx';
import { runDay } from '../parts/run-day.ts';
import { addressOf } from '../state/route.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { SideMark } from './CompareTraces.tsx';
import { type ComparedSpeed, readingWords, writeDifference } from './compare-data.ts';

const gearText = (gears: readonly number[]): string =>
  gears.length > 0 ? `gear ${gears.join(', ')}` : 'gear not known';

const SideCard = ({ side, choose }: { side: ComparedSideView; choose: (pull: number) => void }) => {
  const units = useUnits();
  const letter = side.name === 'A' ? 'A' : 'B';
  return (
    <section className="cmp-card" aria-label={`Run ${letter}`}>
      <h2>
        <SideMark side={letter} />
        {side.runId === undefined ? (
          side.fileName
        ) : (
          <a href={addressOf({ sheet: 'run', runId: side.runId, pull: side.pull })}>{side.fileName}</a>
        )}
      </h2>
      <p className="note">
        {side.buildLabel}
        {side.importedAt === undefined
          ? ''
          : `; ${runDay({ importedAt: side.importedAt, driven: side.driven ?? null })}`}
        ; {units.write('temperature', side.ambientTemperatureK)} {units.label('temperature')},{' '}
        {units.write('pressure', side.barometricPressurePa, 1)} {units.label('pressure')}
      </p>
      <label className="field">
        Pull of run {letter}
        <select value={side.pull} onChange={(event) => choose(Number(event.target.value))}>
          {side.pulls.map((pull) => (
            <option key={pull.pull} value={pull.pull}>
              Pull {pull.pull}, {gearText(pull.gears)}, {writeNumber(pull.minEngineSpeedRpm, 0)} to{' '}
              {writeNumber(pull.maxEngineSpeedRpm, 0)} rpm
            </option>
          ))}
        </select>
      </label>
      {side.findings.length > 0 && (
        <p className="note">Found in it: {side.findings.map(({ id }) => id.replaceAll('-', ' ')).join(', ')}.</p>
      )}
    </section>
  );
};

const CAUSES: Readonly<Record<ComparedSpeed['shares'][number]['cause'], string>> = {
  boost: 'Boost',
  'charge-temperature': 'Charge temperature',
  lambda: 'Mixture',
  'spark-advance': 'Timing',
};

const SharesAt = ({ row }: { row: ComparedSpeed | undefined }) => {
  const units = useUnits();
  if (!row?.asMeasured) return null;
  const { differenceW } = row.asMeasured;
  const known = row.shares.reduce((sum, { powerW }) => sum + powerW.p50, 0);
  const power = readingWords('power');
  const rest = differenceW.p50 - known;
  return (
    <section className="cmp-card">
      <h2>What accounts for it at {writeNumber(row.engineSpeedRpm, 0)} rpm</h2>
      <dl className="cmp-shares">
        {row.shares.map(({ cause, powerW }) => (
          <div key={cause}>
            <dt>{CAUSES[cause]}</dt>
            <dd>{writeDifference(power, units, powerW)}</dd>
          </div>
        ))}
        {row.shares.length > 0 && (
          <div>
            <dt>The rest: parts, filling, what is not known</dt>
            <dd>
              {writeDifference(power, units, {
                p10: rest - (differenceW.p90 - differenceW.p10) / 2,
                p50: rest,
                p90: rest + (differenceW.p90 - differenceW.p10) / 2,
              })}
            </dd>
          </div>
        )}
        <div className="sum">
          <dt>B less A as measured, {units.label('power')}</dt>
          <dd>{writeDifference(power, units, differenceW)}</dd>
        </div>
      </dl>
      {row.shares.length === 0 && (
        <p className="note">Manifold pressure is not in both logs, so nothing can be shared out.</p>
      )}
    </section>
  );
};

const written = (si: number, unit: string): string => {
  const value = isUnit(unit) ? fromSi(si, unit) : si;
  return Number(value.toPrecision(4)).toLocaleString('en-GB', { maximumFractionDigits: 4 });
};

const Changes = ({ comparison }: { comparison: ComparisonView }) => {
  const { changes, facts } = comparison;
  return (
    <section className="cmp-card">
      <h2>{changes.length + facts.length === 0 ? 'No change in the build' : 'What changed in the build'}</h2>
      {changes.length + facts.length > 0 && (
        <ul className="cmp-list">
          {changes.map(({ path, about, unit, fromSi: from, toSi: to, estimated }) => (
            <li key={path}>
              {about}: {written(from, unit)} to{' '}
              <b>
                {written(to, unit)} {unit === '1' ? '' : unit}
              </b>
              {estimated && <span className="note"> one side estimated</span>}
            </li>
          ))}
          {facts.map(({ path, about, from, to }) => (
            <li key={path}>
              {about}: {from} to <b>{to}</b>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
};

const Alike = ({ comparison }: { comparison: ComparisonView }) => {
  const { common, notCommon, sameAir } = comparison;
  const half = ({ p10, p90 }: { p10: number; p90: number }) => writeNumber((p90 - p10) / 2, 3);
  return (
    <section className="cmp-card">
      <h2>What the plus-minus covers</h2>
      <ul className="cmp-list">
        {notCommon.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <h3>Alike, so no part of the difference</h3>
      <ul className="cmp-list">
        {common.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      {sameAir && (
        <p className="note">
          Factors of {sameAir.standard}: A {writeNumber(sameAir.firstFactor.p50, 3)} ±{half(sameAir.firstFactor)}, B{' '}
          {writeNumber(sameAir.secondFactor.p50, 3)} ±{half(sameAir.secondFactor)}.
        </p>
      )}
    </section>
  );
};

export const CompareSide = ({
  view,
  comparison,
  row,
  choose,
}: {
  view: CompareView;
  comparison: ComparisonView;
  row: ComparedSpeed | undefined;
  choose: (which: 0 | 1, pull: number) => void;
}) => (
  <aside className="cmp-side" aria-label="The two pulls">
    {([comparison.first, comparison.second] as const).map((place, which) => (
      <SideCard key={place} side={view.sides[place]!} choose={(pull) => choose(which as 0 | 1, pull)} />
    ))}
    <SharesAt row={row} />
    <Changes comparison={comparison} />
    <Alike comparison={comparison} />
    <Caution title="comparing runs" items={view.cautions} />
  </aside>
);
