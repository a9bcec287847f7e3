/** Headroom: the parts in the order in which they give out, and the boost that brings each to its limit. */
import { useEffect, useMemo, useRef } from 'react';
import type { HeadroomView, PartHeadroomView } from '../../src/app/api.ts';
import { LEDGER_BAR, ledgerBar, markAtPower, powerLimitShapes, powerScale } from '../charts/ledger.ts';
import { leftInWords, standing } from '../charts/marks.ts';
import { niceTicks, type Scale } from '../charts/scale.ts';
import { RefineBar } from '../parts/RefineBar.tsx';
import { Icon, Shapes } from '../parts/Shapes.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { useHeadroom } from '../state/garage.ts';
import { useKeyPair } from '../state/keys.ts';
import { crankPowerStore } from '../state/position.ts';
import { type Refining, useRefinedHeadroom } from '../state/refine.ts';
import { useStore } from '../state/store.ts';
import { type Units, useUnits, writeNumber } from '../state/units.ts';
import { HeadroomFoot, PowerRuler } from './HeadroomFoot.tsx';
import { HeadroomTable } from './HeadroomTable.tsx';
import { boostAtPower, type LedgerData, ledgerData, ledgerSentence, writePower } from './ledger-data.ts';
import { rowIcon, rowName } from './part-marks.ts';

const demandText = (row: PartHeadroomView, units: Units): string => {
  if (row.unit === '1' && row.rating <= 1)
    return `${writeNumber(row.demand * 100, 0)} of ${writeNumber(row.rating * 100, 0)} %`;
  const demand = units.writeSi(row.demand, row.unit);
  const rating = units.writeSi(row.rating, row.unit);
  return `${demand.text} of ${rating.text} ${rating.unit}`;
};

/** Why a row has no power at which it gives out. */
const noPowerText = (row: PartHeadroomView, units: Units): string => {
  const past = row.utilisation.p50 > 1;
  const boost =
    row.boostAtLimitPa && `${units.write('pressure', row.boostAtLimitPa.p50)} ${units.label('pressure')} of boost`;
  if (row.decides && boost) {
    return `${past ? 'past its limit' : `at ${boost}`} near ${writeNumber(row.worstEngineSpeedRpm, 0)} rpm; a lower target there keeps the power`;
  }
  if (past) return 'past its limit at any boost';
  if (!row.dependsOnBoost) return 'not moved by boost';
  return boost ? `at ${boost}; not counted` : 'does not give out within reach';
};

interface RowProps {
  readonly row: PartHeadroomView;
  readonly number: number;
  readonly data: LedgerData;
  readonly scale: Scale;
  readonly powerW: number;
  readonly selected: boolean;
  readonly ticks: readonly number[];
}

const Row = ({ row, number, data, scale, powerW, selected, ticks }: RowProps) => {
  const units = useUnits();
  const phone = usePhone();
  const self = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (!selected) return;
    self.current?.scrollIntoView({ block: 'center' });
    self.current?.focus({ preventScroll: true });
  }, [selected]);
  const limit = row.powerAtLimitW;
  const moved = Math.abs(powerW - data.powerNowW) > 1;
  const mark = markAtPower(row.utilisation, data.powerNowW, limit?.p50, powerW);
  const state = standing(mark);
  const height = phone ? 44 : LEDGER_BAR.height;
  const words = leftInWords(mark);
  const inReading = limit
    ? {
        p10: units.toReading('power', limit.p10),
        p50: units.toReading('power', limit.p50),
        p90: units.toReading('power', limit.p90),
      }
    : undefined;
  return (
    <li className={`hr ${state} ${selected ? 'sel' : ''}`} ref={self} tabIndex={-1}>
      <span className="c-n">
        <span className="bal">{number}</span>
        <Icon name={rowIcon(row.part)} />
        <span className="nm">
          <b>{rowName(row.part)}</b>
          <span className="note">{row.limit}</span>
          <span className="note">{demandText(row, units)}</span>
        </span>
      </span>
      <span className="c-b">
        <svg viewBox={`0 0 ${LEDGER_BAR.width} ${height}`} width={LEDGER_BAR.width} height={height} aria-hidden="true">
          <Shapes of={ledgerBar(mark, moved ? row.utilisation : null, height)} />
        </svg>
      </span>
      <span className="c-l">
        <b>{state === 'over' ? words : `${words} left`}</b>
        <span className="note">
          {moved ? 'at this power' : `worst at ${writeNumber(row.worstEngineSpeedRpm, 0)} rpm`}
        </span>
        <span className="note only-phone">
          {limit ? `gives out at ${writePower(units, limit)}` : noPowerText(row, units)}
        </span>
      </span>
      {!phone && (
        <span className="c-k">
          <svg viewBox={`0 0 ${scale.end + 14} ${height}`} width={scale.end + 14} height={height} aria-hidden="true">
            <Shapes
              of={powerLimitShapes(
                inReading,
                scale,
                height,
                scale.at(units.toReading('power', powerW)),
                limit
                  ? {
                      value: units.write('power', limit.p50),
                      spread: units.writeSpread('power', (limit.p90 - limit.p10) / 2),
                    }
                  : null,
                ticks,
              )}
            />
          </svg>
          {!limit && <span className="note c-none">{noPowerText(row, units)}</span>}
        </span>
      )}
      <span className="c-f">
        <span>{row.lift[0] ?? 'Nothing cheap lifts it'}</span>
        {row.chanceFirst >= 0.01 && (
          <span className="note">first to give out in {Math.round(row.chanceFirst * 100)} of 100 samples</span>
        )}
        {row.lift.length > 1 && (
          <details>
            <summary>{row.lift.length === 2 ? 'one other way' : `${row.lift.length - 1} other ways`}</summary>
            {row.lift.slice(1).map((way) => (
              <span key={way}>{way}</span>
            ))}
          </details>
        )}
      </span>
    </li>
  );
};

const usePowerScale = (data: LedgerData, units: Units, width: number) =>
  useMemo(() => {
    const scale = powerScale(
      units.toReading('power', data.lowestW),
      units.toReading('power', data.highestW),
      Math.max(160, width),
    );
    return { scale, ticks: niceTicks(scale.from, scale.to, 6) };
  }, [data, units, width]);

interface Refine {
  readonly refining: Refining;
  readonly stop: () => void;
  readonly begin: () => void;
}

const Ledger = ({ data, part, refine }: { data: LedgerData; part: string | undefined; refine: Refine }) => {
  const units = useUnits();
  const phone = usePhone();
  const powerW = useStore(crankPowerStore) ?? data.powerNowW;
  const [column, { width }] = useSize<HTMLSpanElement>();
  const { scale, ticks } = usePowerScale(data, units, width);
  return (
    <div className="hp">
      <p className="lead top">{ledgerSentence(data, units)}</p>
      <RefineBar {...refine} samples={data.view.samples} />
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="ledger" tabIndex={0} aria-label="Ledger of parts">
        <div className="cols" aria-hidden="true">
          <span>Part, in the order it gives out</span>
          <span className="ax">
            <i style={{ left: LEDGER_BAR.full / 2 }}>50</i>
            <i style={{ left: LEDGER_BAR.full }}>
              <b>100 %</b>
            </i>
          </span>
          <span>of what it carries</span>
          <span ref={column}>Gives out at crank power, {units.label('power')}</span>
          <span>To lift it</span>
        </div>
        <ol className="rows">
          {data.view.parts.map((row, index) => (
            <Row
              key={row.part}
              row={row}
              number={index + 1}
              data={data}
              scale={scale}
              powerW={powerW}
              selected={row.part === part}
              ticks={ticks}
            />
          ))}
        </ol>
      </section>
      {!phone && <HeadroomFoot data={data} powerW={powerW} scale={scale} />}
      {phone && <HeadroomFoot data={data} powerW={powerW} scale={scale} noRuler />}
    </div>
  );
};

const Shown = ({
  chosen,
  view,
  part,
}: {
  chosen: { carId: string; buildId: string };
  view: HeadroomView;
  part: string | undefined;
}) => {
  const units = useUnits();
  const phone = usePhone();
  const table = useStore(tableStore);
  const data = useMemo(() => ledgerData(view), [view]);
  const refine = useRefinedHeadroom(chosen.buildId, view);
  const powerW = useStore(crankPowerStore) ?? data.powerNowW;
  useEffect(() => {
    crankPowerStore.set(null);
  }, []);
  useKeyPair('p', (digit) => {
    const rows = document.querySelectorAll<HTMLElement>('.rows > li');
    const row = rows[Number(digit) - 1];
    row?.scrollIntoView({ block: 'center' });
    row?.focus({ preventScroll: true });
  });
  const boost = boostAtPower(data, powerW);
  return (
    <Sheet
      title="Headroom"
      chosen={chosen}
      fit
      hasTable
      context={
        <>
          Worst at any engine speed
          <br />
          <b>
            {Number.isFinite(boost)
              ? `${units.write('pressure', boost)} ${units.label('pressure')} boost`
              : `${units.write('power', powerW)} ${units.label('power')}`}
          </b>
        </>
      }
      dock={phone && !table ? <PowerRuler data={data} powerW={powerW} compact /> : undefined}
    >
      {table ? <HeadroomTable data={data} /> : <Ledger data={data} part={part} refine={refine} />}
    </Sheet>
  );
};

export const Headroom = ({
  chosen,
  part,
}: {
  chosen: { carId: string; buildId: string };
  part: string | undefined;
}) => {
  const headroom = useHeadroom(chosen.buildId);
  if (headroom.state === 'here') return <Shown chosen={chosen} view={headroom.value} part={part} />;
  return (
    <Sheet title="Headroom" chosen={chosen}>
      <Await
        answer={headroom}
        what="Raising the boost in the model until each part gives out, over hundreds of samples of what is uncertain. The first time takes some seconds; after that it is kept."
      >
        {() => null}
      </Await>
    </Sheet>
  );
};
