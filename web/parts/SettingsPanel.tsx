/** Light or dark, units per quantity, single keys: everything a person sets once. */
import { keysStore } from '../state/keys.ts';
import { useStore } from '../state/store.ts';
import { THEMES, type Theme, themeStore } from '../state/theme.ts';
import {
  METRIC_UNITS,
  UNIT_CHOICES,
  UNIT_KINDS,
  type UnitChoice,
  type UnitKind,
  US_UNITS,
  unitStore,
} from '../state/units.ts';
import { Panel } from './Panel.tsx';

const THEME_WORDS: Readonly<Record<Theme, string>> = { laptop: 'As the laptop', light: 'Light', dark: 'Dark' };

const ThemeSwitch = () => {
  const theme = useStore(themeStore);
  return (
    <fieldset className="themes">
      <legend className="vh">Light or dark</legend>
      {THEMES.map((one) => (
        <label key={one}>
          <input type="radio" name="theme" checked={theme === one} onChange={() => themeStore.set(one)} />
          {THEME_WORDS[one]}
        </label>
      ))}
    </fieldset>
  );
};

const same = (a: UnitChoice, b: UnitChoice) => UNIT_KINDS.every((kind) => a[kind] === b[kind]);

const UnitSelect = ({ kind, units }: { kind: UnitKind; units: UnitChoice }) => (
  <label className="field">
    {UNIT_CHOICES[kind].about}
    <select value={units[kind]} onChange={(event) => unitStore.set({ ...units, [kind]: event.target.value })}>
      {UNIT_CHOICES[kind].choices.map(({ label }) => (
        <option key={label}>{label}</option>
      ))}
    </select>
  </label>
);

const KEY_LIST: readonly (readonly [string, string])[] = [
  ['← →', 'one graduation; with Shift ten'],
  ['Home, End', 'the ends of the scale'],
  ['a figure', 'typed on the scale: the hairline goes there'],
  ['P then a number', 'that part in the ledger'],
  ['F then a letter', 'that finding'],
  ['[ and ]', 'the pull before, the pull after'],
  ['+ and -', 'traces: closer, further'],
  [', and .', 'traces: earlier, later'],
  ['V', 'drawing or table'],
  ['U', 'units'],
  ['Alt 1 to 9', 'the sheets'],
  ['?', 'this list'],
];

export const SettingsPanel = ({ open, close }: { open: boolean; close: () => void }) => {
  const units = useStore(unitStore);
  const keys = useStore(keysStore);
  return (
    <Panel title="Units, light and keys" open={open} close={close}>
      <h3>Light</h3>
      <ThemeSwitch />
      <h3>Units</h3>
      <div className="acts">
        <button
          type="button"
          className="btn"
          aria-pressed={same(units, METRIC_UNITS)}
          onClick={() => unitStore.set(METRIC_UNITS)}
        >
          All metric
        </button>
        <button
          type="button"
          className="btn"
          aria-pressed={same(units, US_UNITS)}
          onClick={() => unitStore.set(US_UNITS)}
        >
          All US
        </button>
      </div>
      <div className="fields">
        {UNIT_KINDS.map((kind) => (
          <UnitSelect key={kind} kind={kind} units={units} />
        ))}
      </div>
      <p className="note">Pressures are absolute unless they are called boost.</p>
      <h3>Keys</h3>
      <label className="tick-box">
        <input type="checkbox" checked={keys} onChange={(event) => keysStore.set(event.target.checked)} />
        Single keys work
      </label>
      <dl className="keys">
        {KEY_LIST.map(([key, does]) => (
          <div key={key}>
            <dt>{key}</dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
    </Panel>
  );
};
