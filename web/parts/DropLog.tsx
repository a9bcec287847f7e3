/** Where a log is dropped or chosen, how far its sending is, and the rate asked of a file without a clock. */
import { type DragEvent, useRef, useState } from 'react';
import { Refused } from '../answers/client.ts';
import { writeNumber } from '../state/units.ts';
import { Icon } from './Shapes.tsx';

const MOST_MEGABYTES = 250;

/** Why a file is not even sent; null where it may be. */
export const refusedForSize = (file: File): Refused | null =>
  file.size > MOST_MEGABYTES * 1e6
    ? new Refused(
        'too-large',
        `${file.name} is ${writeNumber(file.size / 1e6, 0)} MB; ${MOST_MEGABYTES} MB is the most that is taken. Nothing was kept. Split it, or log fewer channels.`,
      )
    : null;

export const DropBox = ({ busy, take }: { busy: boolean; take: (file: File) => void }) => {
  const [over, setOver] = useState(false);
  const input = useRef<HTMLInputElement>(null);
  const takeFirst = (files: FileList | null) => {
    const file = files?.[0];
    if (file) take(file);
    // The same file can be chosen again after it was mended.
    if (input.current) input.current.value = '';
  };
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (!busy) takeFirst(event.dataTransfer.files);
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a short cut; the field inside does the same by keyboard
    <div
      className={`drop ${over ? 'over' : ''}`}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
    >
      <Icon name="file" />
      <p>
        <b>Drop a log here</b>
        <br />
        <span className="note">
          Delimited text as loggers write it (comma, semicolon or tab; any units), a measurement file (ASAM MDF 4), or
          Parquet.
        </span>
      </p>
      <label className="btn first file">
        Choose a file
        <input
          ref={input}
          type="file"
          aria-label="Log file"
          accept=".csv,.txt,.log,.tsv,.dat,.mf4,.mdf,.parquet,text/*"
          disabled={busy}
          onChange={(event) => takeFirst(event.target.files)}
        />
      </label>
    </div>
  );
};

export const SendingBar = ({
  name,
  part,
  share,
  callOff,
}: {
  name: string;
  part: 'sent' | 'read';
  share: number;
  callOff: () => void;
}) => {
  const isSending = part === 'sent' && share < 1;
  const done = part === 'sent' && share === 1 ? 0 : share;
  return (
    <div className="sending" role="status">
      <p>
        {isSending ? `Sending ${name}` : `Reading ${name}: columns, channels, pulls`}
        <span className="note"> {writeNumber(done * 100, 0)} %</span>
      </p>
      <progress value={done} max={1} aria-label={`${isSending ? 'Sending' : 'Reading'} ${name}`} />
      <button type="button" className="btn" onClick={callOff}>
        Call it off
      </button>
    </div>
  );
};

export const RateField = ({ send }: { send: (rateHz: number) => void }) => {
  const [rate, setRate] = useState('');
  const value = Number(rate);
  const usable = rate.trim() !== '' && value > 0 && value <= 100000;
  return (
    <form
      className="acts"
      onSubmit={(event) => {
        event.preventDefault();
        if (usable) send(value);
      }}
    >
      <label className="field">
        Rows a second in this file
        <input value={rate} inputMode="decimal" onChange={(event) => setRate(event.target.value)} />
      </label>
      <button type="submit" className="btn first" disabled={!usable}>
        Read it at this rate
      </button>
    </form>
  );
};
