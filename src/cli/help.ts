/** Help that teaches: what each command answers, an example, what comes out. */
import { LOGS_HELP } from './help-logs.ts';
import { MODEL_HELP } from './help-model.ts';
import { EXITS } from './help-parts.ts';

export const COMMANDS = [
  'match',
  'cylinder',
  'spool',
  'headroom',
  'measure',
  'fuel',
  'lift',
  'load',
  'map',
  'review',
  'compare',
  'import',
  'pulls',
  'serve',
  'help',
  'version',
] as const;
export type CommandName = (typeof COMMANDS)[number];

export const HELP: Readonly<Record<CommandName | 'all', string>> = {
  ...MODEL_HELP,
  ...LOGS_HELP,
  all: `boostwright: the engineering department of a home builder-tuner of turbocharged road cars

  boostwright match BUILD          what will this build do at each engine speed?
  boostwright cylinder BUILD       what happens in the cylinder, and how much timing or boost is left before knock?
  boostwright spool BUILD          when is boost there, does it shoot over, does it surge on lift-off?
  boostwright headroom BUILD       which part gives out first, second, third, and at what power?
  boostwright measure BUILD        what single measurement would tell most, and how is it done?
  boostwright lift BUILD OTHER     what does this change of parts gain, what gives out then, what does it cost?
  boostwright fuel BUILD           what is in the tank, what is injected, and what does each do?
  boostwright load BUILD           how much fuel does the engine take at part load?
  boostwright map FILE             is this compressor map sound, and how does it go into a build sheet?
  boostwright review LOG           what happened in this logged run, was it sound, what power was made?
  boostwright compare RUN RUN      what differs between two runs of a car, and why?
  boostwright import LOG           keep a log in a garage, byte for byte, with its review
  boostwright pulls --car CAR      which pulls of all runs of a car were like this?
  boostwright serve                open the same on web pages, on this computer only
  boostwright help COMMAND         what a command needs, an example, what comes out
  boostwright version              which version this is

BUILD is a build sheet: one JSON file, usable from about a dozen numbers (data/demo/builds has examples).
LOG is any delimited text file from a data logger: comma, semicolon or tab, decimal point or comma.

A first walk, with the demo garage:
  boostwright match data/demo/builds/otter-as-driven.json
  boostwright review data/demo/logs/otter-second-third.csv --build data/demo/builds/otter-as-driven.json

Every figure with a band says p50 (p10-p90): in one of ten cases the truth lies below p10, in one above p90.
Predictions and limits are no guarantees: raise boost in small steps and watch mixture and knock.

${EXITS}`,
  serve: `boostwright serve: the same on web pages, on this computer only

  boostwright serve
  boostwright serve --port 8080 --garage /home/me/garage

Options
  --port N              port on 127.0.0.1 (PORT, or 4680, when left out)
  --garage FOLDER       the garage (BOOSTWRIGHT_GARAGE, or ./garage, when left out); an empty one gets the demo cars
Stops with Ctrl+C.

${EXITS}`,
  help: `boostwright help COMMAND: what a command needs, an example, what comes out`,
  version: `boostwright version: prints the version`,
};
