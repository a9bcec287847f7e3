/** Drawings given as data, put on the page. */
import { createElement, memo, type ReactNode } from 'react';
import { ICONS, type IconName } from '../charts/icons.ts';
import { SOURCE_WORDS, type SourceName, sourceGlyph } from '../charts/marks.ts';
import type { Shape } from '../charts/shape.ts';

const build = (one: Shape, key: number): ReactNode =>
  createElement(
    one.tag,
    { key, ...one.props },
    ...(one.children ?? []).map((child, index) => (typeof child === 'string' ? child : build(child, index))),
  );

/** Every shape in order. */
export const Shapes = memo(({ of }: { of: readonly Shape[] }) => <>{of.map(build)}</>);

/** A picture of a part or a sheet; its neighbour text names it. */
export const Icon = memo(({ name, className = 'g' }: { name: IconName; className?: string }) => (
  <svg className={className} viewBox="0 0 28 28" aria-hidden="true">
    <Shapes of={ICONS[name]} />
  </svg>
));

/** Where a number came from, as a mark that says its name to a screen reader. */
export const SourceMark = memo(({ source }: { source: SourceName }) => (
  <>
    <svg className="src" viewBox="0 0 10 10" aria-hidden="true">
      <Shapes of={[sourceGlyph(source)]} />
    </svg>
    <span className="vh"> {SOURCE_WORDS[source]}</span>
  </>
));
