/** Help of the commands that answer from a build sheet or a compressor map. */
import { AIR, EXITS, SHOWN } from './help-parts.ts';

export const MODEL_HELP = {
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
} as const;
