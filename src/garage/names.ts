/** Names of cars: how they become identifiers, and when two are the same. */

/** The letters and digits of a name, without accents and case. */
const bareName = (name: string): string => name.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();

/** An identifier that can be read aloud: letters, digits and dashes of the name. */
export const slugOf = (name: string): string =>
  bareName(name)
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40) || 'car';

/** True for two names that a person reading them aloud would take for one. */
export const isSameName = (one: string, other: string): boolean => {
  const spaced = (name: string) => bareName(name).replace(/\s+/g, ' ').trim();
  return spaced(one) === spaced(other);
};
