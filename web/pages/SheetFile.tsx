/** A build sheet to and from a file: the same JSON that the command line reads. */
import { useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import { fetchBuilds, Refused, saveBuild } from '../answers/client.ts';
import { answered, forget, keep } from '../answers/use-answer.ts';
import { RuledOff } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { useBuilds } from '../state/garage.ts';
import { savedStore } from './sheet-save.ts';

/** Puts the sheet's own file on the disk. */
const download = (view: BuildView): void => {
  const blob = new Blob([`${JSON.stringify(view.sheet, null, 2)}\n`], { type: 'application/json' });
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = `${view.car.name} ${view.build.label}.json`.toLowerCase().replace(/[^a-z0-9.]+/g, '-');
  link.click();
  URL.revokeObjectURL(link.href);
};

/** A file of JSON, or why it is none. */
export const readJsonFile = async (
  file: File,
): Promise<{ readonly name: string; readonly value: unknown } | Refused> => {
  try {
    const value: unknown = JSON.parse((await file.text()).replace(/^\uFEFF/, ''));
    return { name: file.name, value };
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    return new Refused(
      'not-json',
      `${file.name} is not a JSON file (${reason}). Nothing was saved; save the build sheet as JSON and bring it again.`,
    );
  }
};

/** A button that takes a build sheet's file. */
export const SheetFileButton = ({ take, says }: { take: (file: File) => void; says: string }) => {
  const input = useRef<HTMLInputElement>(null);
  return (
    <label className="btn file">
      {says}
      <input
        ref={input}
        type="file"
        aria-label="Build sheet file"
        accept=".json,application/json"
        onChange={(event) => {
          const file = event.target.files?.[0];
          if (file) take(file);
          // The same file can be chosen again after it was mended.
          if (input.current) input.current.value = '';
        }}
      />
    </label>
  );
};

export const SheetFile = ({ view }: { view: BuildView }) => {
  const newestId = answered(useBuilds(view.car.id))?.builds[0]?.id;
  const [label, setLabel] = useState('');
  const [planned, setPlanned] = useState(true);
  const [sheet, setSheet] = useState<{ name: string; value: unknown } | null>(null);
  const [refused, setRefused] = useState<Refused | null>(null);
  const [working, setWorking] = useState(false);
  const take = async (file: File) => {
    const read = await readJsonFile(file);
    setRefused(read instanceof Refused ? read : null);
    setSheet(read instanceof Refused ? null : read);
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
        ...(newestId === undefined ? {} : { newestId }),
        sheet: sheet.value,
      });
      savedStore.set({ buildId: saved.build.id, from: view.build.label });
      forget('cars');
      forget(`builds ${view.car.id}`);
      chooseBuild(view.car.id, saved.build.id);
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      // A build that was saved meanwhile is then in the list, and the next press has seen it.
      fetchBuilds(view.car.id).then(
        (builds) => keep(`builds ${view.car.id}`, builds),
        () => {},
      );
      setWorking(false);
    }
  };
  return (
    <section className="save" aria-label="The sheet as a file">
      <h2>The sheet as a file</h2>
      <p className="note">One readable JSON file, the same that the command line reads.</p>
      <div className="acts">
        <button type="button" className="btn" onClick={() => download(view)}>
          Save the sheet to a file
        </button>
        <SheetFileButton take={take} says="Bring a sheet in" />
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
