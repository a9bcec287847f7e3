/** What a log has shown of knock: the answer's shape, and its words. */

/** A timing against the estimated borderline of its moment. */
export interface TimingShown {
  /** Timing less the borderline as the sheet has it [deg]: over 0 is past it. */
  readonly overLimitDeg: number;
  readonly sparkAdvanceDeg: number;
  readonly engineSpeedRpm: number;
  readonly manifoldPressurePa: number;
}

export interface KnockEvidence {
  /** Bins of engine speed under full throttle that were looked at. */
  readonly bins: number;
  /** Furthest timing at which nothing was heard. */
  readonly silent: TimingShown | null;
  /** Least timing at which knock was heard, as it was before the control took any out. */
  readonly heard: TimingShown | null;
  /** `learned.knockLimit` of the sheet, as it stands and as this log leaves it [deg]. */
  readonly before: { readonly valueDeg: number; readonly sdDeg: number };
  readonly after: { readonly valueDeg: number; readonly sdDeg: number };
  /** The same in words. */
  readonly says: string;
}

const signed = (deg: number): string => `${deg < 0 ? '−' : '+'}${Math.abs(deg).toFixed(1)}°`;

const against = ({ sparkAdvanceDeg, engineSpeedRpm, overLimitDeg }: TimingShown): string =>
  `${sparkAdvanceDeg.toFixed(1)}° at ${Math.round(engineSpeedRpm)} rpm, ${Math.abs(overLimitDeg).toFixed(1)}° ${overLimitDeg > 0 ? 'past' : 'short of'} the estimated borderline`;

/** What the pulls showed, and where the borderline then lies, in two sentences. */
export const knockEvidenceText = ({ silent, heard, after }: Omit<KnockEvidence, 'says'>): string => {
  const shown = [
    ...(heard ? [`Knock was heard from ${against(heard)}`] : []),
    ...(silent ? [`${heard ? 'nothing' : 'Nothing'} was heard up to ${against(silent)}`] : []),
  ].join('; ');
  return `${shown}. With that the borderline lies ${signed(after.valueDeg)} ±${after.sdDeg.toFixed(1)} from the estimate, for this fuel and such a day.`;
};
