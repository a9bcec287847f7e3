/** What this room refuses. Frozen objects, so that a refusal allocates nothing. */
import type { Reason } from '../physics/index.ts';

/** Codes and sentences of the cycle's refusals. Source: house rule. */
export const CYLINDER_REASONS = {
  engine: {
    code: 'cylinder-impossible',
    says: 'The cylinder has no such shape: bore and stroke 0.02 to 0.5 m, rod 1.5 to 6 crank radii, ratio 4 to 20, intake closing -175 to -60 deg, exhaust opening 60 to 175 deg, walls 250 to 900 K, factors as their fields say.',
  },
  charge: {
    code: 'charge-impossible',
    says: 'No such charge can be trapped: speed 100 to 20,000 rpm, air above 0, 230 to 700 K, residual share 0 to 0.6, water up to half the air.',
  },
  lambda: {
    code: 'lambda-not-burnable',
    says: 'The mixture does not burn by this law: lambda must lie between 0.5 and 2.',
  },
  fuel: {
    code: 'fuel-unknown-gas',
    says: 'The burned gas of that fuel is not tabulated: hydrogen per carbon, its oxygen taken off as water, must lie between 1 and 3.',
  },
  spark: {
    code: 'spark-outside-cycle',
    says: 'The spark must come at least 15 deg after the intake valve closes and 30 deg before the exhaust valve opens.',
  },
  finite: {
    code: 'cycle-without-answer',
    says: 'The cycle gives no finite numbers for these inputs; check them for values beyond all sense.',
  },
  reference: {
    code: 'knock-limit-out-of-reach',
    says: 'No timing between 40 deg after and 60 deg before top dead centre gives that knock level.',
  },
} as const satisfies Record<string, Reason>;
