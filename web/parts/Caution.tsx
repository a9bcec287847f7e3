/** What to know before the numbers are acted on. */
import { Icon } from './Shapes.tsx';

/**
 * Cautions that stand beside every prediction, by what they are about: common practice, no source. Where the server says
 * its own about the same thing, its words are taken.
 */
const STANDING_CAUTIONS: readonly { readonly about: RegExp; readonly says: string }[] = [
  {
    about: /promise|guarantee/i,
    says: 'A limit on these sheets is a computed figure with a plus-minus, never a guarantee: parts fail below their ratings too.',
  },
  {
    about: /knock/i,
    says: 'Boost and ignition timing: raise them in small steps, with knock and mixture watched on every step, and stop at the first knock or lean reading.',
  },
  {
    about: /^fuel under pressure/i,
    says: 'Fuel is under pressure: engine cold, pressure let down, battery off, extinguisher in reach, and every joint checked for leaks before the first start.',
  },
  {
    about: /full-throttle (runs|tests|pulls)|pulls at full throttle/i,
    says: 'Full-throttle tests belong on a closed course or a test bench, never on a public road. Follow the rule book of the place and its officials.',
  },
  {
    about: /^methanol/i,
    says: 'Methanol is poisonous through the skin and burns with a flame that daylight hides: gloves, goggles, fresh air, and the supplier’s data sheet.',
  },
  {
    about: /^batteries/i,
    says: 'Batteries give off gas and hold enough current to start a fire: fuse at the battery, no sparks, and the maker’s charging instructions.',
  },
  {
    about: /^brakes/i,
    says: 'Brakes, steering, fuel lines, gas and electrical work must meet the codes where you live; where those ask for a licensed trade, leave it to one.',
  },
];

/** What to know before a log of full-throttle pulls is made. */
export const TESTING_CAUTION = STANDING_CAUTIONS[3]!.says;

export const Caution = ({ title, items }: { title: string; items: readonly string[] }) => (
  <section className="caut" aria-label={`Caution: ${title}`}>
    <Icon name="caution" />
    <div>
      <b>Caution: {title}</b>
      {items.length === 1 ? (
        <p>{items[0]}</p>
      ) : (
        <ul>
          {items.map((item) => (
            <li key={item}>{item}</li>
          ))}
        </ul>
      )}
    </div>
  </section>
);

/** The server's cautions, then the standing ones about what it does not speak of. */
export const allCautions = (fromServer: readonly string[]): string[] => [
  ...fromServer,
  ...STANDING_CAUTIONS.filter(({ about }) => !fromServer.some((said) => about.test(said))).map(({ says }) => says),
];
