/** Waiting, refused and empty: what a sheet shows when it has no numbers yet. */
import type { ReactNode } from 'react';
import type { Refused } from '../answers/client.ts';
import type { Answer } from '../answers/use-answer.ts';

export const Waiting = ({ what }: { what: string }) => (
  <div className="waiting" role="status">
    <p>{what}</p>
    <div className="waiting-rule" aria-hidden="true" />
  </div>
);

/** Ruled off: what went wrong, where, and what next. */
export const RuledOff = ({
  refused,
  again,
  children,
}: {
  refused: Refused;
  again?: () => void;
  children?: ReactNode;
}) => (
  <section className="ruled" role="alert">
    <h2>{refused.message}</h2>
    {refused.problems.length > 0 && (
      <ol className="code">
        {refused.problems.map((problem) => (
          <li className="ln" key={`${problem.path} ${problem.says}`}>
            <code>{problem.path === '' ? 'the file' : problem.path}</code>
            <span>{problem.says}</span>
          </li>
        ))}
      </ol>
    )}
    {children}
    {again && (
      <button type="button" className="btn" onClick={again}>
        Try again
      </button>
    )}
  </section>
);

/** The value's sheet, or the state it is in. */
export function Await<T>({
  answer,
  what,
  children,
}: {
  answer: Answer<T>;
  what: string;
  children: (value: T) => ReactNode;
}) {
  if (answer.state === 'waiting') return <Waiting what={what} />;
  if (answer.state === 'refused') return <RuledOff refused={answer.refused} again={answer.again} />;
  return <>{children(answer.value)}</>;
}
