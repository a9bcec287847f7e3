/** Dialog: a compressor map from a file: read here, looked at with its fit, then saved as a new build. */
import { type ReactNode, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import { type MapQuestion, type MapRead, readCompressorMap, usualReferences } from '../../src/logs/index.ts';
import { drawnMap } from '../../src/match/index.ts';
import { Refused, saveBuild } from '../answers/client.ts';
import { forget } from '../answers/use-answer.ts';
import { compressorMapShapes, mapFigures } from '../charts/compressor-map.ts';
import { mapNames } from '../charts/compressor-names.ts';
import { mapScales } from '../charts/compressor-scales.ts';
import { Panel } from '../parts/Panel.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { RuledOff } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { fitSays } from './compressor-data.ts';
import { MapFitTable } from './MapFitTable.tsx';
import {
  askedWith,
  FLOW_UNITS,
  type MapAnswers,
  NO_ANSWERS,
  optionsOf,
  SPEED_UNITS,
  sheetWithMap,
} from './map-import-data.ts';

const PLACE = { width: 640, height: 420 };
const KIND_WORDS = {
  refused: 'not used',
  'left out': 'left out',
  doubtful: 'look at it',
  taken: 'taken for granted',
} as const;

const Preview = ({ read }: { read: MapRead }) => {
  const units = useUnits();
  const drawing = useMemo(() => drawnMap(read.map), [read]);
  const shapes = useMemo(() => {
    const reading = {
      toReading: (value: number) => units.toReading('airFlow', value),
      fromReading: (value: number) => units.fromReading('airFlow', value),
    };
    const scales = mapScales(drawing, [], PLACE);
    return [
      ...compressorMapShapes(drawing, [], PLACE, { ...reading, unit: units.label('airFlow') }),
      ...mapNames(drawing, [], PLACE)([]),
      ...mapFigures(-200, -200, scales, PLACE, reading),
    ];
  }, [drawing, units]);
  return (
    <>
      <p>{fitSays(drawing)}</p>
      <div className="map-preview">
        <svg
          viewBox={`0 0 ${PLACE.width} ${PLACE.height}`}
          role="img"
          aria-label={`The map as read: ${read.map.lines.length} speed lines through ${read.fit.points} points; figures in the table below`}
        >
          <Shapes of={shapes} />
        </svg>
      </div>
      <MapFitTable fit={read.fit} />
    </>
  );
};

const Questions = ({
  asked,
  answers,
  change,
}: {
  asked: ReadonlySet<MapQuestion>;
  answers: MapAnswers;
  change: (more: Partial<MapAnswers>) => void;
}) => {
  const typed = (name: 'temperatureDegC' | 'pressureKPa' | 'outletMm' | 'exducerMm', label: string) => (
    <label className="field" key={name}>
      {label}
      <input inputMode="decimal" value={answers[name]} onChange={(event) => change({ [name]: event.target.value })} />
    </label>
  );
  const chosen = (name: 'flowUnit' | 'speedUnit', label: string, choices: readonly string[]) => (
    <label className="field" key={name}>
      {label}
      <select value={answers[name]} onChange={(event) => change({ [name]: event.target.value })}>
        <option value="">choose</option>
        {choices.map((choice) => (
          <option key={choice}>{choice}</option>
        ))}
      </select>
    </label>
  );
  const reference = asked.has('reference temperature') || asked.has('reference pressure');
  return (
    <fieldset className="asks">
      <legend>What the file does not say</legend>
      {reference && (
        <label className="field">
          Air to which flow and speed are corrected (it stands on the map’s own sheet)
          <select value={answers.reference} onChange={(event) => change({ reference: event.target.value })}>
            <option value="">choose</option>
            {usualReferences().map(({ name }) => (
              <option key={name}>{name}</option>
            ))}
            <option value="other">another</option>
          </select>
        </label>
      )}
      {reference && answers.reference === 'other' && (
        <>
          {typed('temperatureDegC', 'Reference temperature, °C')}
          {typed('pressureKPa', 'Reference pressure, kPa absolute')}
        </>
      )}
      {asked.has('flow unit') && chosen('flowUnit', 'Unit of the flow', FLOW_UNITS)}
      {asked.has('speed unit') && chosen('speedUnit', 'Unit of the shaft speed', SPEED_UNITS)}
      {asked.has('exducer') && typed('exducerMm', 'Largest diameter of the compressor wheel, mm')}
      {asked.has('outlet diameter') && typed('outletMm', 'Inner diameter of the compressor’s outlet, mm')}
    </fieldset>
  );
};

const Save = ({
  build,
  read,
  fileName,
  close,
}: {
  build: BuildView;
  read: MapRead;
  fileName: string;
  close: () => void;
}) => {
  const [label, setLabel] = useState('Map from a file');
  const [planned, setPlanned] = useState(build.build.planned);
  const [working, setWorking] = useState(false);
  const [refused, setRefused] = useState<Refused | null>(null);
  const save = async () => {
    setWorking(true);
    setRefused(null);
    try {
      const saved = await saveBuild(build.car.id, {
        label: label.trim(),
        planned,
        parentId: build.build.id,
        sheet: sheetWithMap(build, read.map, `Read from ${fileName}`.slice(0, 400)),
      });
      forget('cars');
      forget(`builds ${build.car.id}`);
      chooseBuild(build.car.id, saved.build.id);
      close();
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
    }
    setWorking(false);
  };
  return (
    <>
      <label className="field">
        Name of the new build
        <input value={label} onChange={(event) => setLabel(event.target.value)} />
      </label>
      <label className="tick-box">
        <input type="checkbox" checked={planned} onChange={(event) => setPlanned(event.target.checked)} />
        Planned: the car is not in it yet
      </label>
      <div className="acts">
        <button type="button" className="btn first" disabled={working || label.trim() === ''} onClick={save}>
          Save as a new build
        </button>
      </div>
      <p className="note">“{build.build.label}” stays as it is.</p>
      {refused && <RuledOff refused={refused} />}
    </>
  );
};

/** A map read here from a file, looked at with its fit; `children` say what may be done with it. */
export const MapFromFile = ({
  children,
}: {
  children: (read: Extract<ReturnType<typeof readCompressorMap>, { ok: true }>, fileName: string) => ReactNode;
}) => {
  const [file, setFile] = useState<{ name: string; bytes: Uint8Array } | null>(null);
  const [answers, setAnswers] = useState(NO_ANSWERS);
  const [asked, setAsked] = useState<ReadonlySet<MapQuestion>>(new Set());
  const input = useRef<HTMLInputElement>(null);
  const result = useMemo(() => (file ? readCompressorMap(file.bytes, optionsOf(answers)) : null), [file, answers]);
  const openQuestions = result && !result.ok ? result.asks : [];
  const shownQuestions = askedWith(asked, openQuestions);
  const take = async (picked: File | undefined) => {
    if (!picked) return;
    const bytes = new Uint8Array(await picked.arrayBuffer());
    const first = readCompressorMap(bytes);
    setAnswers(NO_ANSWERS);
    setAsked(new Set(first.ok ? [] : first.asks));
    setFile({ name: picked.name, bytes });
    if (input.current) input.current.value = '';
  };
  return (
    <>
      <p>
        A text file with a row for each point: shaft speed, corrected flow, pressure ratio, efficiency, with the units
        in the names of the columns. Typed, or traced off a picture: points may scatter.
      </p>
      <div className="acts">
        <label className="btn file">
          Choose a file
          <input
            ref={input}
            type="file"
            aria-label="Compressor map file"
            accept=".csv,.txt,.tsv,.dat,text/plain,text/csv"
            onChange={(event) => take(event.target.files?.[0])}
          />
        </label>
        {file && <b>{file.name}</b>}
      </div>
      {shownQuestions.size > 0 && (
        <Questions
          asked={shownQuestions}
          answers={answers}
          change={(more) => {
            setAsked(shownQuestions);
            setAnswers({ ...answers, ...more });
          }}
        />
      )}
      {result && !result.ok && result.code !== 'asks' && (
        <RuledOff
          refused={
            new Refused(
              result.code,
              `${result.says} Nothing was saved.`,
              result.notes.map(({ line, says }) => ({ path: line === null ? '' : `line ${line}`, says })),
            )
          }
        />
      )}
      {result && !result.ok && result.code === 'asks' && (
        <p className="note">{result.says.split(' Say it,')[0]} Answer above, and the map is drawn.</p>
      )}
      {result?.ok && file && (
        <>
          <h3>
            {result.map.lines.length} speed lines, {result.fit.points} points
          </h3>
          <p className="note">
            Corrected to {writeNumber(result.map.referenceTemperatureK - 273.15, 1)} °C and{' '}
            {writeNumber(result.map.referencePressurePa / 1000, 2)} kPa; flow in {result.said.flowUnit}, speed in{' '}
            {result.said.speedUnit}.
          </p>
          <Preview read={result} />
          {result.notes.length > 0 && (
            <>
              <h3>What to look at</h3>
              <ul className="notes">
                {result.notes.map((note) => (
                  <li key={`${note.line} ${note.says}`}>
                    <b>{note.line === null ? 'Whole map' : `Line ${note.line}`}</b> ({KIND_WORDS[note.kind]}):{' '}
                    {note.says}.
                  </li>
                ))}
              </ul>
            </>
          )}
          {children(result, file.name)}
        </>
      )}
    </>
  );
};

export const MapImport = ({ build, open, close }: { build: BuildView; open: boolean; close: () => void }) => (
  <Panel title="A compressor map from a file" open={open} close={close}>
    <MapFromFile>
      {(read, fileName) => <Save build={build} read={read} fileName={fileName} close={close} />}
    </MapFromFile>
  </Panel>
);
