/** A build with another fuel or another mix in the tank: for trying, on the command line and in the browser. */
import { type Build, type BuildResult, checkBuild } from './build-schema.ts';
import type { Quantity } from './quantity.ts';

/** Shares by volume of the finished fuel, 0 to 1; what is absent is none. */
export interface WhatIfFuel {
  readonly ethanol?: number | undefined;
  readonly methanol?: number | undefined;
  readonly toluene?: number | undefined;
}

/** How the injected mix is said. */
export const MIX_BASES = ['mass', 'volume before mixing', 'volume in the finished mix'] as const;
export type MixBasis = (typeof MIX_BASES)[number];

export interface WhatIfMix {
  /** Methanol, 0 to 1. */
  readonly methanol: number;
  readonly by: MixBasis;
}

/** A tried share is taken as exact, so that the answer shows what the fuel does and not how well it was poured. */
const percent = (share: number): Quantity => ({
  value: Number((100 * share).toFixed(4)),
  unit: '%',
  source: 'estimate',
  spread: '0 %',
});

/** The pump petrol that the tried blend starts from: that of the sheet, or the sheet's own petrol. */
const basePetrol = (fuel: Build['fuel']): Build['fuel']['petrol'] => {
  if (fuel.kind === 'blend' || fuel.kind === 'ethanol blend') return fuel.petrol;
  if (fuel.kind !== 'petrol') return undefined;
  const { researchOctane, motorOctane, antiKnockIndex, ethanolContent } = fuel;
  const known = {
    ...(researchOctane ? { researchOctane } : {}),
    ...(motorOctane ? { motorOctane } : {}),
    ...(antiKnockIndex ? { antiKnockIndex } : {}),
    ...(ethanolContent ? { ethanolContent } : {}),
  };
  return Object.keys(known).length > 0 ? known : undefined;
};

/**
 * The build with the tried shares; numbers that were typed for the old fuel (heating value, octane of the whole ...) go,
 * since they are not those of the new one. Without any share: pure pump petrol, or the sheet as it is where that is its fuel.
 */
export const withFuel = (build: Build, { ethanol = 0, methanol = 0, toluene = 0 }: WhatIfFuel): BuildResult => {
  if (ethanol + methanol + toluene === 0 && build.fuel.kind === 'petrol') return { ok: true, build };
  const petrol = basePetrol(build.fuel);
  const fuel =
    ethanol + methanol + toluene === 0
      ? { kind: 'petrol', ...petrol }
      : {
          kind: 'blend',
          ...(ethanol > 0 ? { ethanolContent: percent(ethanol) } : {}),
          ...(methanol > 0 ? { methanolContent: percent(methanol) } : {}),
          ...(toluene > 0 ? { tolueneContent: percent(toluene) } : {}),
          ...(petrol ? { petrol } : {}),
        };
  return checkBuild({ ...build, fuel });
};

/** The build with a tried mix in the injection's tank; the rest of the injection stays. */
export const withMix = (build: Build, { methanol, by }: WhatIfMix): BuildResult => {
  const {
    methanolMassFraction: _mass,
    methanolVolumeFraction: _volume,
    methanolVolumeBasis: _basis,
    ...rest
  } = build.injection ?? {};
  const said =
    by === 'mass'
      ? { methanolMassFraction: percent(methanol) }
      : {
          methanolVolumeFraction: percent(methanol),
          methanolVolumeBasis: by === 'volume before mixing' ? 'before mixing' : 'in the finished mix',
        };
  return checkBuild({ ...build, injection: { ...rest, ...said } });
};
