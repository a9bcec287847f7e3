/** What is tried: shares of the fuel by slider or figure, the mix by mass or volume. */
import { useId, useState } from 'react';
import { MIX_BASES, type MixBasis } from '../../src/car/index.ts';
import type { MixSheet } from '../../src/match/index.ts';
import { mixIn, type Tried } from './fuel-data.ts';

const PARTS = [
  ['ethanol', 'Ethanol'],
  ['methanol', 'Methanol'],
  ['toluene', 'Toluene'],
] as const;

interface ShareProps {
  readonly name: string;
  readonly value: number;
  readonly most: number;
  readonly set: (value: number) => void;
}

/** One share: the slider and the figure move each other. */
const Share = ({ name, value, most, set }: ShareProps) => {
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const settle = () => {
    const figure = Number((typed ?? '').replace(',', '.'));
    if (typed !== null && typed.trim() !== '' && Number.isFinite(figure)) set(Math.min(most, Math.max(0, figure)));
    setTyped(null);
  };
  return (
    <div className="try-row">
      <label htmlFor={id}>{name}</label>
      <input
        id={id}
        type="range"
        min={0}
        max={100}
        step={1}
        value={value}
        aria-valuetext={`${value} % by volume`}
        onChange={(event) => set(Math.min(most, Number(event.target.value)))}
      />
      <span className="try-figure">
        <input
          aria-label={`${name}, % by volume`}
          inputMode="decimal"
          size={5}
          value={typed ?? String(value)}
          onChange={(event) => setTyped(event.target.value)}
          onBlur={settle}
          onKeyDown={(event) => {
            if (event.key === 'Enter') settle();
          }}
        />
        <span className="u">%</span>
      </span>
    </div>
  );
};

const BASIS_WORDS: Readonly<Record<MixBasis, string>> = {
  'volume before mixing': 'by volume, poured together',
  'volume in the finished mix': 'by volume of the finished mix',
  mass: 'by mass',
};

interface Props {
  readonly tried: Tried;
  readonly typed: Tried;
  readonly set: (tried: Tried) => void;
  readonly mix: MixSheet;
  readonly says: string | null;
}

export const FuelTry = ({ tried, typed, set, mix, says }: Props) => {
  const id = useId();
  const used = tried.ethanol + tried.methanol + tried.toluene;
  const changed = (Object.keys(typed) as (keyof Tried)[]).some((key) => tried[key] !== typed[key]);
  const petrol = Number(Math.max(0, 100 - used).toFixed(1));
  return (
    <section className="try" aria-label="Try a fuel and a mix">
      <h2>Try a blend</h2>
      <p className="note">By volume of the fuel in the tank; the rest, {petrol} %, is pump petrol.</p>
      {PARTS.map(([key, name]) => (
        <Share
          key={key}
          name={name}
          value={tried[key]}
          most={Number((100 - used + tried[key]).toFixed(1))}
          set={(value) => set({ ...tried, [key]: value })}
        />
      ))}
      <h2>Injected mix</h2>
      <Share name="Methanol in it" value={tried.mix} most={100} set={(value) => set({ ...tried, mix: value })} />
      <div className="try-row">
        <label htmlFor={id}>Meant</label>
        <select
          id={id}
          value={tried.mixBy}
          onChange={(event) => {
            const mixBy = MIX_BASES.find((basis) => basis === event.target.value) ?? 'mass';
            // The same mix, said the other way: only the figure changes.
            set({ ...tried, mixBy, mix: mixIn(mix, mixBy) });
          }}
        >
          {MIX_BASES.map((basis) => (
            <option key={basis} value={basis}>
              {BASIS_WORDS[basis]}
            </option>
          ))}
        </select>
      </div>
      {says !== null && (
        <p className="odd" role="alert">
          {says}
        </p>
      )}
      <button type="button" className="btn" disabled={!changed} onClick={() => set(typed)}>
        Back to the sheet
      </button>
    </section>
  );
};
