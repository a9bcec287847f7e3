/** What could be bought for the car: prices typed here, options left out or added, files in and out; kept in the garage. */
import { useId, useMemo, useRef, useState } from 'react';
import type { QuantityView } from '../../src/app/api.ts';
import type { PartOptionsView } from '../../src/app/lift-api.ts';
import { dimensionOf, isUnit, unitsOf } from '../../src/physics/units.ts';
import { Refused } from '../answers/client.ts';
import { savePartOptions } from '../answers/lift-client.ts';
import { answered, forget, keep } from '../answers/use-answer.ts';
import { Panel } from '../parts/Panel.tsx';
import { RuledOff } from '../parts/States.tsx';
import { useBuild } from '../state/garage.ts';
import { fromSiText } from '../state/typed.ts';
import type { Chosen } from './LiftSheet.tsx';

type Options = NonNullable<PartOptionsView['options']>;
type Place = Options['places'][number];
type Option = Place['options'][number];

const EMPTY: Omit<Options, 'places'> = {
  schema: 'boostwright.options/1',
  name: 'What could be bought',
  currency: 'EUR',
};

const asRefused = (error: unknown): Refused =>
  error instanceof Refused ? error : new Refused('page-fault', String(error));

/** Puts the options into a file on the disk. */
const download = (options: Options): void => {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([`${JSON.stringify(options, null, 2)}\n`], { type: 'application/json' }));
  link.download = `${options.name}.json`.toLowerCase().replace(/[^a-z0-9.]+/g, '-');
  link.click();
  URL.revokeObjectURL(link.href);
};

const setsInWords = (option: Option): string =>
  Object.entries(option.sets)
    .flatMap(([group, fields]) =>
      Object.entries(fields ?? {}).map(([name, value]) => {
        const field = name.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
        const typed = value as { value?: number; unit?: string } | string;
        if (typeof typed === 'string') return `${field} ${typed}`;
        return typed.value === undefined
          ? `${field} (${group})`
          : `${field} ${typed.value} ${typed.unit === '1' ? '' : typed.unit}`.trim();
      }),
    )
    .join(', ');

interface Draft {
  readonly place: string;
  readonly name: string;
  readonly price: string;
  readonly needs: string;
  readonly fields: readonly { readonly path: string; readonly value: string; readonly unit: string }[];
}

const AddOption = ({
  places,
  quantities,
  add,
}: {
  places: readonly string[];
  quantities: readonly QuantityView[];
  add: (place: string, option: Option) => void;
}) => {
  const [open, setOpen] = useState(false);
  const first = quantities.find(({ path }) => path === 'fuelSystem.injectorFlow') ?? quantities[0];
  const field = (quantity: QuantityView | undefined) => ({
    path: quantity?.path ?? '',
    value: quantity ? fromSiText(quantity.valueSi, quantity.unit) : '',
    unit: quantity?.unit ?? '1',
  });
  const fresh = (): Draft => ({
    place: places[0] ?? 'injectors',
    name: '',
    price: '',
    needs: '',
    fields: [field(first)],
  });
  const [draft, setDraft] = useState<Draft>(fresh);
  const list = useId();
  const groups = useMemo(() => {
    const by = new Map<string, QuantityView[]>();
    for (const quantity of quantities) {
      const group = quantity.path.split('.')[0] ?? '';
      if (group === 'learned') continue;
      by.set(group, [...(by.get(group) ?? []), quantity]);
    }
    return [...by];
  }, [quantities]);
  const change = (index: number, to: Partial<Draft['fields'][number]>) =>
    setDraft({ ...draft, fields: draft.fields.map((one, at) => (at === index ? { ...one, ...to } : one)) });
  const price = Number(draft.price.replace(',', '.'));
  const usable =
    draft.place.trim() !== '' &&
    draft.name.trim() !== '' &&
    draft.price.trim() !== '' &&
    price >= 0 &&
    draft.fields.length > 0 &&
    draft.fields.every(({ value }) => value.trim() !== '' && Number.isFinite(Number(value.replace(',', '.'))));
  const take = () => {
    const sets: Record<string, Record<string, unknown>> = {};
    for (const { path, value, unit } of draft.fields) {
      const [group = '', name = ''] = path.split('.');
      sets[group] = { ...sets[group], [name]: { value: Number(value.replace(',', '.')), unit, source: 'data-sheet' } };
    }
    const needs = draft.needs.trim();
    add(draft.place.trim(), {
      name: draft.name.trim(),
      price,
      ...(needs === '' ? {} : { needs }),
      sets: sets as Option['sets'],
    });
    setDraft(fresh());
    setOpen(false);
  };
  return (
    <>
      <button type="button" className="btn" aria-haspopup="dialog" onClick={() => setOpen(true)}>
        Add a part
      </button>
      <Panel title="A part that could be bought" open={open} close={() => setOpen(false)}>
        <div className="fields">
          <label className="field">
            Place on the car
            <input
              list={list}
              value={draft.place}
              onChange={(event) => setDraft({ ...draft, place: event.target.value })}
            />
            <datalist id={list}>
              {places.map((place) => (
                <option key={place} value={place} />
              ))}
            </datalist>
          </label>
          <label className="field">
            Name
            <input value={draft.name} onChange={(event) => setDraft({ ...draft, name: event.target.value })} />
          </label>
          <label className="field">
            Price
            <input
              inputMode="decimal"
              value={draft.price}
              onChange={(event) => setDraft({ ...draft, price: event.target.value })}
            />
          </label>
          <label className="field">
            What else it needs
            <input value={draft.needs} onChange={(event) => setDraft({ ...draft, needs: event.target.value })} />
          </label>
        </div>
        <h3>What it sets on the build sheet</h3>
        {draft.fields.map((one, index) => {
          const unit = isUnit(one.unit) ? one.unit : '1';
          return (
            // biome-ignore lint/suspicious/noArrayIndexKey: rows are told apart by their place only
            <div className="set-field" key={index}>
              <label className="field">
                Number of the sheet
                <select
                  value={one.path}
                  onChange={(event) => change(index, field(quantities.find(({ path }) => path === event.target.value)))}
                >
                  {groups.map(([group, all]) => (
                    <optgroup key={group} label={group.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase()}>
                      {all.map(({ path, about }) => (
                        <option key={path} value={path}>
                          {about}
                        </option>
                      ))}
                    </optgroup>
                  ))}
                </select>
              </label>
              <label className="field">
                Value
                <input
                  inputMode="decimal"
                  size={8}
                  value={one.value}
                  onChange={(event) => change(index, { value: event.target.value })}
                />
              </label>
              <label className="field">
                Unit
                <select value={unit} onChange={(event) => change(index, { unit: event.target.value })}>
                  {unitsOf(dimensionOf(unit)).map((choice) => (
                    <option key={choice}>{choice}</option>
                  ))}
                </select>
              </label>
              <button
                type="button"
                className="btn flat"
                disabled={draft.fields.length === 1}
                onClick={() => setDraft({ ...draft, fields: draft.fields.filter((_, at) => at !== index) })}
              >
                Take out
              </button>
            </div>
          );
        })}
        <div className="acts">
          <button
            type="button"
            className="btn"
            onClick={() => setDraft({ ...draft, fields: [...draft.fields, field(first)] })}
          >
            One more number
          </button>
          <button type="button" className="btn first" disabled={!usable} onClick={take}>
            Add the part
          </button>
        </div>
        <p className="note">
          A turbocharger with a map, curves, another fuel: write them into a part options file and bring it in.
        </p>
      </Panel>
    </>
  );
};

export const LiftOptions = ({ chosen, kept }: { chosen: Chosen; kept: PartOptionsView }) => {
  const build = answered(useBuild(chosen.buildId));
  const [options, setOptions] = useState<Options | null>(kept.options);
  const [prices, setPrices] = useState<Readonly<Record<string, string>>>({});
  const [refused, setRefused] = useState<Refused | null>(null);
  const [working, setWorking] = useState(false);
  const input = useRef<HTMLInputElement>(null);
  const places = options?.places ?? [];
  const changed = options !== kept.options || Object.keys(prices).length > 0;

  const withPrices = (): Options | null => {
    if (!options) return null;
    return {
      ...options,
      places: options.places.map((place) => ({
        ...place,
        options: place.options.map((option) => {
          const typed = prices[`${place.place} ${option.name}`];
          // What is no number goes to the server as it is: it says which place is wrong.
          return typed === undefined
            ? option
            : { ...option, price: typed.trim() === '' ? Number.NaN : Number(typed.replace(',', '.')) };
        }),
      })),
    };
  };
  const save = async (whole: unknown) => {
    setWorking(true);
    setRefused(null);
    try {
      const saved = await savePartOptions(chosen.carId, whole);
      forget('lift ');
      keep(`part-options ${chosen.carId}`, saved);
    } catch (error) {
      setRefused(asRefused(error));
    }
    setWorking(false);
  };
  const take = async (file: File | undefined) => {
    if (!file) return;
    setRefused(null);
    try {
      await save(JSON.parse((await file.text()).replace(/^\uFEFF/, '')));
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      setRefused(
        new Refused('not-json', `${file.name} is not a JSON file (${reason}). The parts kept before are still there.`),
      );
    }
    if (input.current) input.current.value = '';
  };
  const drop = (place: Place, option: Option) => {
    if (!options) return;
    setOptions({
      ...options,
      places: options.places
        .map((one) => (one === place ? { ...one, options: one.options.filter((other) => other !== option) } : one))
        .filter((one) => one.options.length > 0),
    });
  };
  const add = (name: string, option: Option) => {
    const at = places.findIndex(({ place }) => place === name);
    const all =
      at < 0
        ? [...places, { place: name, options: [option] }]
        : places.map((place, index) => (index === at ? { ...place, options: [...place.options, option] } : place));
    setOptions({ ...(options ?? EMPTY), places: all });
  };

  return (
    <section className="options" aria-label="Parts that could be bought">
      <h2>Parts that could be bought</h2>
      <p className="note">
        Kept in the garage with the car. Keeping what is fitted is always one of the choices and costs nothing.
        {options?.note ? ` ${options.note}` : ''}
      </p>
      {options && (
        <label className="field currency">
          Currency
          <input
            value={options.currency}
            size={6}
            onChange={(event) => setOptions({ ...options, currency: event.target.value })}
          />
        </label>
      )}
      <div className="places">
        {places.map((place) => (
          <fieldset key={place.place}>
            <legend>{place.place}</legend>
            {place.options.map((option) => {
              const key = `${place.place} ${option.name}`;
              return (
                <div className="option" key={option.name}>
                  <span className="what">
                    <b>{option.name}</b>
                    <span className="note">{option.needs ? `needs ${option.needs}` : setsInWords(option)}</span>
                  </span>
                  <label>
                    <span className="vh">
                      Price of {option.name}, {options?.currency}
                    </span>
                    <input
                      inputMode="decimal"
                      size={7}
                      value={prices[key] ?? String(option.price)}
                      onChange={(event) => setPrices({ ...prices, [key]: event.target.value })}
                    />
                  </label>
                  <button type="button" className="btn flat" onClick={() => drop(place, option)}>
                    Leave out<span className="vh"> {option.name}</span>
                  </button>
                </div>
              );
            })}
          </fieldset>
        ))}
      </div>
      <div className="acts">
        <button
          type="button"
          className="btn first"
          disabled={!changed || working || places.length === 0}
          onClick={() => void save(withPrices())}
        >
          Keep these parts and prices
        </button>
        <AddOption places={places.map(({ place }) => place)} quantities={build?.quantities ?? []} add={add} />
        {options && places.length > 0 && (
          <button type="button" className="btn" onClick={() => download(withPrices()!)}>
            Save to a file
          </button>
        )}
        <label className="btn file">
          Bring a file in
          <input
            ref={input}
            type="file"
            aria-label="Part options file"
            accept=".json,application/json"
            onChange={(event) => void take(event.target.files?.[0])}
          />
        </label>
      </div>
      {changed && places.length > 0 && (
        <p className="note">Not kept yet: a search uses the parts as they were kept last.</p>
      )}
      {refused && <RuledOff refused={refused} />}
    </section>
  );
};
