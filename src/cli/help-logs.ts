/** Help of the commands that answer from logs and the garage. */
import { EXITS, SHOWN } from './help-parts.ts';

export const LOGS_HELP = {
  review: `boostwright review LOG: what happened in this logged run?

Reads the file, recognises its channels, cuts it into pulls, looks for faults, and works out the power three ways: from
air, from fuel and from acceleration. With a build sheet more can be checked, and the prediction is laid beside the log.

  boostwright review data/demo/logs/wren-third-gear.csv
  boostwright review my-log.csv --build my-build.json
  boostwright review my-log.csv --build my-build.json --map channels.json --json > review.json

Options
  --build BUILD         the build sheet of the car as it was driven
  --fuel FUEL           petrol or diesel, where no build sheet says it (petrol when left out, and asked about)
  --map CHANNELS.json   say what columns are: a list like
                        [{ "column": "MAP (psi)", "channel": "manifold-pressure", "unit": "psi", "reference": "gauge" },
                         { "column": "Spare 3", "channel": null }]
                        (the "channels" of an earlier --json answer will do; null leaves a column out); an entry may have
                        "scaling": { "points": [[0.5, 0], [4.5, 10]] } or { "slope": 2, "offset": 10 } to its unit,
                        "airFuelAtLambdaOne": 9.8, or an "expression" of other channels
  --scale TEXT          an analogue column: "AN 3 = oil-pressure bar 0.5:0 4.5:10" (two points), or
                        "WB = lambda AFR slope 2 offset 10"; may come several times
  --derive TEXT         a channel from others: "over = injection-pressure kPa: fuel-pressure [kPa gauge] -
                        manifold-pressure [kPa gauge]"; columns go in double quotes, functions are abs, min, max, sqrt,
                        exp, ln, log10; may come several times
  --rate HZ             rows per second of a file without a clock
${SHOWN}

What comes out
  How the file was written and what was refused; the channels with how sure each is; the pulls with their powers;
  the findings, gravest first, each with what was seen, what else it could be and what to do next; and what could not
  be checked because a channel is missing.

${EXITS}`,
  compare: `boostwright compare RUN RUN: what differs between two runs of a car?
boostwright compare LOG LOG --build BUILD: the same for log files outside a garage

Lays pulls on each other: same engine speeds (bins of 250 rpm), same gear. Power is compared by the ways of working it out
that both pulls have, so that what is wrong with the sheet or a sensor in both makes no difference between them; readings
are compared beside it, and say how much of the difference they account for.

  boostwright compare otter-run-2 otter-run-3 --garage garage
  boostwright compare otter-run-2:1 otter-run-3:2
  boostwright compare before.csv after.csv --build my-build.json
  boostwright compare before.csv after.csv --build old-build.json --build new-build.json --json

Options
  RUN:PULL              take this pull of the run, counted from 1 (the pulls most alike when left out; also LOG:PULL)
  --garage FOLDER       the garage of the runs (BOOSTWRIGHT_GARAGE, or ./garage, when left out)
  --build BUILD         compare log files by this build sheet; once for all of them, or once for each in order
  --map CHANNELS.json   as for review, for log files (so are --scale and --derive)
  --rate HZ             rows per second of log files without a clock
${SHOWN}
Two to six runs or logs are taken; each is compared with the first.

What comes out
  One sentence: by how much they differ where power is greatest, and what accounts for it. Then a row per engine speed, in
  each day's air and corrected to the same air by SAE J1349. An engine that holds its boost by control makes up for part
  of the weather, so the correction gives it too much: its truth lies between the two. Then what changed in the build.

${EXITS}`,
  import: `boostwright import LOG --car CAR: keep a log in a garage

Keeps the file byte for byte, its channels as they were recognised (or as --map says), and its review. What has been
kept stays, also when the power fails the moment after. The same file is kept once.

  boostwright import my-log.csv --car otter
  boostwright import my-log.csv --car otter --build otter-build-2 --garage /home/me/garage

Options
  --car CAR             which car of the garage (its name in the garage, like "otter")
  --build ID            which build it was driven in (the car's current build when left out)
  --garage FOLDER       the garage (BOOSTWRIGHT_GARAGE, or ./garage, when left out)
  --map CHANNELS.json   as for review (so are --scale and --derive); kept for logs with the same columns
  --rate HZ             rows per second of a file without a clock
  --json                print the review as JSON

${EXITS}`,
  pulls: `boostwright pulls --car CAR: which pulls of all runs of a car were like this?

Lists the pulls of every run in the garage, newest first, those only that fit all conditions.

  boostwright pulls --car otter
  boostwright pulls --car otter --where 'boost max > 150 kPa' --where 'gear = 3' --sort power
  boostwright pulls --car otter --where 'charge temperature at-power > 60 degC' --where 'finding is knock' --json

A condition is: CHANNEL STATISTIC COMPARISON NUMBER UNIT
  CHANNEL      a channel as review names it (manifold-pressure, charge-temperature, lambda ...), or boost, power, torque
  STATISTIC    min or max (what three readings in a row reach), mean (over time), or at-power: mean while the engine passed
               the speed of the pull's peak power
  COMPARISON   > >= < <=
  UNIT         kPa, bar, psi; degC, degF; g/s, lb/min; km/h, mph; kW, hp; ... rpm, deg, lambda, V and shares need none
or one of: gear = 3, duration > 4 s, finding is knock, finding is none, build is otter-build-2

Options
  --car CAR             which car of the garage
  --where CONDITION     may come several times; a pull must fit all of them
  --sort WHAT           newest (when left out), power, duration, or a channel with a statistic, like "lambda min"
  --rising              smallest first
  --limit N             at most so many rows, 1 to 500 (50 when left out)
  --garage FOLDER       the garage (BOOSTWRIGHT_GARAGE, or ./garage, when left out)
${SHOWN}

What comes out
  One row per pull with the channels asked about, how many fit, and how many pulls have no such channel.

${EXITS}`,
} as const;
