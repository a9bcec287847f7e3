/** Help that teaches: what each command answers, an example, what comes out. */

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

const EXITS = `Exit codes
  0  the command did its work (findings in a log are not an error)
  2  something given cannot be used; one sentence on standard error says what, where and what to do
  1  a fault of Boostwright's own; please report it
  130  stopped by Ctrl+C; nothing was changed`;

const AIR = `  --temperature VALUE   outside air, like 30degC, 86degF or 303K (standard air when left out: 15degC)
  --pressure VALUE      outside air, like 98kPa, 980mbar or 14.2psi (standard air: 1013.25 mbar)
  --humidity VALUE      relative humidity, like 60% (standard air: 0%)`;

const SHOWN = `  --units metric|us     units of the printed tables (metric when left out); --json is always SI
  --json                print one JSON object instead of tables, SI units, unit in each key`;

export const HELP: Readonly<Record<CommandName | 'all', string>> = {
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
  match: `boostwright match BUILD: what will this build do at full throttle, at each engine speed?

Solves air flow, shaft power and pressures of the whole car until they balance, for many cars inside the plus-minus of
the sheet's numbers, and prints the middle and the ends.

  boostwright match data/demo/builds/otter-as-driven.json
  boostwright match my-build.json --temperature 30degC --units us
  boostwright match my-build.json --json > match.json

Options
${AIR}
  --samples N           cars to solve for the bands, 16 to 4000 (200 when left out)
  --all                 print every engine speed, not every 500 rpm
${SHOWN}

What comes out
  One row per engine speed: boost, air flow, charge temperature, mixture, injector duty, exhaust pressure, torque and
  power. "held": the wastegate holds the boost asked for. "shut": the turbocharger cannot reach it yet. "open": the
  wastegate is wide open and boost creeps past what was asked for. What has no answer is listed below with its reason.

${EXITS}`,
  cylinder: `boostwright cylinder BUILD: what happens in the cylinder, and how much timing or boost is left before knock?

Solves the closed cycle over crank angle at one engine speed under full throttle, in two zones, and from it the timing at
which this charge and fuel are borderline for knock.

  boostwright cylinder data/demo/builds/otter-as-driven.json --speed 4500
  boostwright cylinder my-build.json --speed 6000 --temperature 35degC --json

Options
  --speed RPM           engine speed (65 % of the rev limit when left out)
${AIR}
  --samples N           cars to solve for the bands, 16 to 4000 (64 when left out)
${SHOWN}

What comes out
  Timing, best-torque timing, the borderline of knock and what is left before it; peak pressure, torque, exhaust
  temperature; then timing, boost and charge temperature moved one at a time. --json adds pressure, burned share and
  knock integral over crank angle. The borderline is relative, never a guarantee.

${EXITS}`,
  spool: `boostwright spool BUILD: when is boost there, does it shoot over, does it surge on lift-off?

Runs the car in time: cruise, pedal down in one gear to the rev limit, with shaft, pipes, wastegate control and charge
cooler moving; then the throttle shut on full boost; then the same pull four times over.

  boostwright spool data/demo/builds/otter-as-driven.json --gear 3 --from 2000
  boostwright spool my-build.json --gear 4 --from 2500 --lift 5000 --json

Options
  --gear N              gear, 1 for first (the middle of the gearbox when left out)
  --from RPM            engine speed at which the pedal goes down (2000 when left out)
  --lift RPM            engine speed at which it comes up on full boost (80 % of the rev limit when left out)
${AIR}
  --samples N           cars to run for the bands, 16 to 4000 (120 when left out)
${SHOWN}

What comes out
  Time and engine speed at which 90 % of the boost asked for is there, and all of it, or why it does not come; boost over
  target; peak shaft speed and outlet temperature; charge temperature over four pulls; surge on lift-off. Then boost, shaft
  speed and charge temperature over time. --json adds the bands of all curves.

${EXITS}`,
  headroom: `boostwright headroom BUILD: which part gives out first, and at what crank power?

Raises boost with everything else as it is until each part reaches its limit, for many cars inside the plus-minus of the
sheet's numbers, and sorts the parts by the power at which they give out.

  boostwright headroom data/demo/builds/otter-as-driven.json
  boostwright headroom my-build.json --json | jq '.parts[0]'

Options
${AIR}
  --samples N           cars to solve for the bands, 16 to 4000 (512 when left out)
${SHOWN}

What comes out
  One row per part: how much of it is used now and at which engine speed, the crank power and boost at which it gives
  out, and the chance that it is the first. Then what lifts the first ones, and which number to measure next: the one
  whose measuring would narrow the answer most.

${EXITS}`,
  measure: `boostwright measure BUILD: what single measurement would tell most, and how is it done?

Solves the ledger for many cars inside the sheet's plus-minus, reads off how much of each answer's band every number of
the sheet brings in, and proposes what a garage can measure, with the band to expect afterwards.

  boostwright measure data/demo/builds/otter-as-driven.json
  boostwright measure my-build.json --answer charge-temperature

Options
  --answer NAME         power, boost, charge-temperature, shaft-speed, injector-duty, knock-margin,
                        exhaust-temperature, first-limit; all of these in one table when left out; or
                        spool-time (third gear from 2000 rpm), which is run in time
${AIR}
  --samples N           cars to solve, 16 to 4000 (512 when left out; more find smaller effects)
${SHOWN}

What comes out
  The band of each answer now, and expected once the best proposal is measured. In full for one answer: the shares of its
  variance, then up to five proposals with how to measure. What is measured or logged already is not proposed again; what
  takes a test cell (indicated efficiency, friction) neither: logs teach it.

${EXITS}`,
  fuel: `boostwright fuel BUILD: what is in the tank, what is injected, and what does each do?

Works out the fuel from its composition (petrol by RON, MON or AKI; any mix with ethanol, methanol and toluene) and the
injected water-methanol mix, and how much of the mist dries before the valves: as far as its time and the air allow.

  boostwright fuel data/demo/builds/otter-larger-compressor.json
  boostwright fuel my-build.json --ethanol 30% --toluene 10%
  boostwright fuel my-build.json --mix 50% --nozzle 150,300,450cm3/min --share 20% --by volume --speed 5500

Options
  --ethanol, --methanol, --toluene SHARE
                        try this fuel instead: by volume of the fuel in the tank, the rest pump petrol
  --mix SHARE           try this much methanol in the injected mix
  --mix-by HOW          how --mix is meant: volume (poured together, when left out), finished-volume or mass
  --nozzle FLOW,...     compare these nozzles with no injection: rated flow at the pump pressure
  --share SHARE         find the nozzle that injects this share of the fuel
  --by mass|volume      how --share is meant (mass when left out)
  --speed RPM           where --share is wanted (the speed of the most power when left out)
${AIR}
  --samples N           cars matched for the bands of the injection, 16 to 4000 (64 when left out)
${SHOWN}

What comes out
  Properties of the fuel with bands and sources; the mix by mass and by both kinds of volume, with its freezing point;
  the injection over engine speed: share of the fuel, charge before and after, how much dries and what keeps it from
  drying further; pulls and minutes until the tank is empty; nozzles side by side.

${EXITS}`,
  load: `boostwright load BUILD: how much fuel does the engine take at part load?

Finds the manifold pressure that gives each torque (throttle below the pressure outside, boost above it) and from it air,
mixture, timing, pumping, friction and fuel, for many engines inside the plus-minus of what is known.

  boostwright load data/demo/builds/otter-as-driven.json
  boostwright load data/demo/engines/two-litre-natural.json --speed 2000,3000 --torque 40,80,120
  boostwright load my-build.json --json > load.json

BUILD is a build sheet, or an engine sheet ("schema": "boostwright.engine/1"): displacement, bore, stroke, compression
ratio, "aspiration": "turbocharged" or "natural", and what else is known; the rest is taken by engine class.

Options
  --speed RPM,...       engine speeds (every 500 rpm when left out)
  --torque VALUE,...    torques at the crank in N m, or like 80lbfft (tenths of the most when left out)
${AIR}
  --samples N           engines solved for the bands, 16 to 4000 (128 when left out)
${SHOWN}

What comes out
  One row per speed and torque: fuel flow and brake specific fuel consumption with bands, manifold pressure, lambda, timing,
  efficiency. Torque as a test cell reads it: oil and water pump run, the alternator does not charge. Full load at each
  speed, what was assumed of the engine, and which torques are out of reach.

${EXITS}`,
  lift: `boostwright lift BUILD OTHER_BUILD: what does this change of parts gain, what gives out first then?
boostwright lift BUILD --options FILE --power VALUE: which parts are the cheapest way to a power?

Two builds are compared part by part, in pairs of cars that are alike in all that the two builds share, so that the band
of a gain is what is not known about the change. With part options every set of them is tried: boost is raised until the
first part gives out, and the cheapest set that reaches the power by then with the wanted chance is named.

  boostwright lift data/demo/builds/otter-as-driven.json data/demo/builds/otter-fuel.json
  boostwright lift my-build.json my-plan.json --options my-options.json
  boostwright lift data/demo/builds/otter-as-driven.json --options data/demo/options/otter-options.json --power 300kW --chance 0.8

Options
  --options FILE        part options: what could be bought, place by place, each with the fields of the build sheet that
                        it sets and its price (data/demo/options has examples); with two builds it prices the change
  --power VALUE         power at the crank to be reached, like 300kW or 400hp
  --chance VALUE        chance of reaching it with nothing past its limit, like 0.8 or 80% (0.8 when left out)
  --keep PARTS          count these rows of the ledger as limits too, like "turbine temperature,peak cylinder pressure"
${AIR}
  --samples N           two builds: 16 to 4000 pairs (256 when left out); search: 8 to 512 (64 when left out)
${SHOWN}

What comes out
  Two builds: what changed, the gains with their bands, what gives out first before and after, the cost, what gets worse,
  and every part before and after. Search: the cheapest set with what else it needs, what gives out first with it, and
  the sets that no other beats in price and power. Where nothing reaches the power it says how far the best goes.

${EXITS}`,
  map: `boostwright map FILE: is this compressor map sound, and how does it go into a build sheet?

Reads a table of speed lines, typed or traced off a picture, says what is wrong with which line, fits smooth speed lines
through it, and prints the part of the build sheet that holds it.

  boostwright map data/demo/maps/otter-traced.csv
  boostwright map my-map.csv --reference-temperature 25degC --reference-pressure 100kPa
  boostwright map my-map.csv --json | jq .compressorMap

FILE has a row for each point: shaft speed, corrected flow, pressure ratio, efficiency, units in the names, like
  # reference temperature: 25 degC
  # reference pressure: 100 kPa
  # pressure ratio: total to total
  shaft speed [rpm], corrected flow [lb/min], pressure ratio [-], efficiency [%], point
  80000, 5.3, 1.42, 66, surge
docs/compressor-map-file.md has every unit and other layouts that are read.

Options, for what the file does not say
  --reference-temperature VALUE  to which flow and speed are corrected, like 25degC, 77degF or 545degR; never guessed
  --reference-pressure VALUE     to which the flow is corrected, like 100kPa or 28.4inHg; never guessed
  --pressure-ratio KIND          total-to-total or total-to-static
  --outlet-diameter VALUE        of the compressor's outlet, like 50mm; needed for total-to-static
  --exducer VALUE                largest diameter of the wheel, like 55mm; needed where speeds are tip speeds
  --flow-unit UNIT, --speed-unit UNIT
  --source KIND                  measured, logged, data-sheet (when left out) or estimate: how far the map is trusted
${SHOWN}

What comes out
  How well the fit runs through the points of each speed line, how far the points reach, what is wrong with which line
  of the file, and the plus-minus that goes into every prediction because of it.

${EXITS}`,
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
