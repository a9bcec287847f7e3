/** Build sheet: every number of the build with its plus-minus and where it came from; new sheets come in from a file. */
import { useMemo, useRef, useState } from 'react';
import type { BuildView, QuantityView } from '../../src/app/api.ts';
import { dimensionOf, fromSi, isUnit, spreadFromSi, type Unit } from '../../src/physics/units.ts';
import { Refused, saveBuild } from '../answers/client.ts';
import { answered, forget } from '../answers/use-answer.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { Sheet } from '../parts/Sheet.tsx';
import { Await, RuledOff } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { useBuild, useFuelOf } from '../state/garage.ts';
import { type UnitKind, type Units, useUnits, writeNumber } from '../state/units.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

const KIND_OF: Readonly<Record<string, UnitKind>> = {
  'absolute pressure': 'pressure',
  'gauge pressure': 'pressure',
  'pressure difference': 'pressure',
  temperature: 'temperature',
  'mass flow': 'airFlow',
  'volume flow': 'volumeFlow',
  power: 'power',
  torque: 'torque',
};
const SUFFIX: Readonly<Record<string, string>> = { 'absolute pressure': ' abs', 'gauge pressure': ' gauge' };

/** Enough decimals that the plus-minus shows one figure, two where it begins with a one. */
const decimalsFor = (spread: number, value: number): number => {
  const size = spread > 0 ? spread : Math.abs(value) * 0.01;
  if (!(size > 0)) return 0;
  const power = Math.floor(Math.log10(size));
  const begins = Math.floor(size / 10 ** power);
  return Math.min(7, Math.max(0, (begins < 2 ? 1 : 0) - power));
};

const unitInWords = (unit: string): string =>
  unit === '1'
    ? ''
    : unit
        .replace(/m2\b/g, 'm²')
        .replace(/m3\b/g, 'm³')
        .replace(/^kg m/, 'kg·m')
        .replace('N m', 'N·m')
        .replace('ohm', 'Ω');

const writeQuantity = (quantity: QuantityView, units: Units): { value: string; spread: string; unit: string } => {
  const unit = quantity.unit;
  const dimension = isUnit(unit) ? dimensionOf(unit) : '';
  const kind = unit === 'L/h' ? 'pumpFlow' : KIND_OF[dimension];
  const value = kind ? units.toReading(kind, quantity.valueSi) : fromSi(quantity.valueSi, unit as Unit);
  const spread = kind
    ? Math.abs(units.toReading(kind, quantity.valueSi + quantity.sdSi) - value)
    : spreadFromSi(quantity.sdSi, unit as Unit);
  const decimals = decimalsFor(spread, value);
  return {
    value: writeNumber(value, decimals),
    spread: writeNumber(spread, decimals),
    unit: kind ? `${units.label(kind)}${SUFFIX[dimension] ?? ''}` : unitInWords(unit),
  };
};

const groupName = (group: string): string => {
  const words = group.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
  return words.charAt(0).toUpperCase() + words.slice(1);
};

const Group = ({ group, quantities }: { group: string; quantities: readonly QuantityView[] }) => {
  const units = useUnits();
  return (
    <table className="twin sheet-group">
      <caption>{groupName(group)}</caption>
      <thead className="vh">
        <tr>
          <th scope="col">What</th>
          <th scope="col">Value</th>
          <th scope="col">Plus-minus</th>
          <th scope="col">Source</th>
        </tr>
      </thead>
      <tbody>
        {quantities.map((quantity) => {
          const written = writeQuantity(quantity, units);
          return (
            <tr key={quantity.path} className={quantity.estimated ? 'pencilled' : ''}>
              <th scope="row">{quantity.about}</th>
              <td className="num">
                {written.value}
                <span className="u">{written.unit}</span>
              </td>
              <td className="num pm">±{written.spread}</td>
              <td className="from">
                <SourceMark source={quantity.source} />
                <span aria-hidden="true">
                  {quantity.estimated ? 'by engine class' : quantity.source.replace('-', ' ')}
                </span>
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
};

const factRows = ({ facts, sheet }: BuildView): (readonly [string, string])[] => [
  ['Engine', `${facts.cylinders} cylinders, ${facts.layout}, ${facts.valvesPerCylinder} valves each`],
  ['Fuel', facts.fuelKind],
  ['Air metering', facts.airMetering],
  ['Driven wheels', facts.driven],
  ['Gears', facts.gearRatios.map((ratio) => ratio.toFixed(2)).join(', ')],
  ['Tyres', facts.tyreSize ?? 'rolling radius typed in'],
  ['Water-methanol', facts.hasInjection ? 'fitted' : 'not fitted'],
  [
    'Compressor map',
    sheet.turbocharger?.compressorMap
      ? `${sheet.turbocharger.compressorMap.lines.length} speed lines, typed in`
      : 'estimated from the wheel sizes',
  ],
];

/** Puts the sheet's own file on the disk. */
const download = (view: BuildView): void => {
  const blob = new Blob([`${JSON.stringify(view.sheet, null, 2)}\n`], { type: 'application/json' });
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = `${view.car.name} ${view.build.label}.json`.toLowerCase().replace(/[^a-z0-9.]+/g, '-');
  link.click();
  URL.revokeObjectURL(link.href);
};

const SaveRevision = ({ view }: { view: BuildView }) => {
  const [label, setLabel] = useState('');
  const [planned, setPlanned] = useState(true);
  const [sheet, setSheet] = useState<{ name: string; value: unknown } | null>(null);
  const [refused, setRefused] = useState<Refused | null>(null);
  const [working, setWorking] = useState(false);
  const input = useRef<HTMLInputElement>(null);
  const take = async (file: File | undefined) => {
    if (!file) return;
    setRefused(null);
    try {
      const value: unknown = JSON.parse((await file.text()).replace(/^\uFEFF/, ''));
      setSheet({ name: file.name, value });
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      setSheet(null);
      setRefused(
        new Refused(
          'not-json',
          `${file.name} is not a JSON file (${reason}). Nothing was saved; save the build sheet as JSON and bring it again.`,
        ),
      );
    }
    if (input.current) input.current.value = '';
  };
  const save = async () => {
    if (!sheet) return;
    setWorking(true);
    setRefused(null);
    try {
      const saved = await saveBuild(view.car.id, {
        label: label.trim(),
        planned,
        parentId: view.build.id,
        sheet: sheet.value,
      });
      forget('cars');
      forget(`builds ${view.car.id}`);
      chooseBuild(view.car.id, saved.build.id);
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
    }
    setWorking(false);
  };
  return (
    <section className="save" aria-label="Save a new dated build">
      <h2>A new dated build</h2>
      <p className="note">
        Save this sheet to a file, change what you changed on the car, and bring the file back. This build stays as it
        is.
      </p>
      <div className="acts">
        <button type="button" className="btn" onClick={() => download(view)}>
          Save the sheet to a file
        </button>
        <label className="btn file">
          Bring a sheet in
          <input
            ref={input}
            type="file"
            aria-label="Build sheet file"
            accept=".json,application/json"
            onChange={(event) => take(event.target.files?.[0])}
          />
        </label>
      </div>
      {sheet && (
        <>
          <p>
            <b>{sheet.name}</b> is read. Name the build it makes.
          </p>
          <label className="field">
            Name of the new build
            <input value={label} onChange={(event) => setLabel(event.target.value)} />
          </label>
          <label className="tick-box">
            <input type="checkbox" checked={planned} onChange={(event) => setPlanned(event.target.checked)} />
            Planned: the car is not in it yet
          </label>
          <button type="button" className="btn first" disabled={working || label.trim() === ''} onClick={save}>
            Save as a new build
          </button>
        </>
      )}
      {refused && <RuledOff refused={refused} />}
    </section>
  );
};

const Shown = ({ view }: { view: BuildView }) => {
  const groups = useMemo(() => {
    const by = new Map<string, QuantityView[]>();
    for (const quantity of view.quantities) {
      const group = quantity.path.split('.')[0] ?? '';
      // What is not fitted has estimates too, which nobody needs to read.
      if (group === 'injection' && !view.facts.hasInjection) continue;
      by.set(group, [...(by.get(group) ?? []), quantity]);
    }
    return [...by];
  }, [view]);
  const shown = groups.flatMap(([, quantities]) => quantities);
  const estimated = shown.filter((quantity) => quantity.estimated).length;
  return (
    <div className="sheet-page">
      <div className="sheet-main">
        <p className="lead">
          {shown.length - estimated} of {shown.length} numbers are typed in; {estimated} are pencilled in by engine
          class.
        </p>
        <p className="note">
          ± is one standard deviation. Measure a pencilled number and its band on every sheet narrows.
        </p>
        <div className="groups">
          {groups.map(([group, quantities]) => (
            <Group key={group} group={group} quantities={quantities} />
          ))}
        </div>
      </div>
      <aside className="sheet-side">
        <h2>{view.build.label}</h2>
        <p className="note">
          {view.build.planned ? 'Planned' : 'Dated'}{' '}
          {new Date(view.build.createdAt).toLocaleDateString('en-GB', {
            day: 'numeric',
            month: 'long',
            year: 'numeric',
          })}
        </p>
        <dl className="facts">
          {factRows(view).map(([name, value]) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
        <SaveRevision view={view} />
      </aside>
    </div>
  );
};

export const BuildSheet = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  useFuelOf(answered(build));
  return (
    <Sheet title="Build sheet" chosen={chosen}>
      <Await answer={build} what="Reading the build sheet">
        {(view) => <Shown view={view} />}
      </Await>
    </Sheet>
  );
};
