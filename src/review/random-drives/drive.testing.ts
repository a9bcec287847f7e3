/**
 * A random car driven: shaft, charge pipe, exhaust manifold, clutch and tyres marched in steps of two milliseconds, kept every
 * hundredth of a second. Nothing of `src/match` or of the readers under test is used.
 */
import { correctedFlow, type TrueCar } from './car.testing.ts';
import type { Chance } from './chance.testing.ts';
import { bent, type Fault, spoilsIn } from './faults.testing.ts';
import {
  airFlowOf,
  along,
  burn,
  compressorPowerW,
  efficiencyAt,
  fillingOf,
  flowOnLine,
  frictionOf,
  GAS_CONSTANT,
  limitRpmOf,
  lineAt,
  orifice,
  outletK,
  turbinePowerW,
} from './plant.testing.ts';

/** What the driver does next; ends when its goal or its time is reached. */
export interface Leg {
  readonly act: 'off' | 'crank' | 'idle' | 'launch' | 'hold' | 'pull' | 'part' | 'coast' | 'neutral' | 'brake';
  readonly seconds: number;
  /** 1-based; of pulls several are shifted through with the foot down. */
  readonly gears?: readonly number[];
  readonly speed?: number;
  readonly untilRpm?: number;
  readonly pedal?: number;
}

export interface Day {
  readonly outsidePa: number;
  readonly outsideK: number;
  readonly windMPerS: number;
  readonly grade: number;
  readonly hill: number;
  readonly cold: boolean;
}

export const STEP_S = 0.002;
export const KEPT_S = 0.01;

export const TRUE_NAMES = [
  'rpm',
  'speed',
  'wheel',
  'acceleration',
  'pedal',
  'throttle',
  'gear',
  'clutch',
  'manifold',
  'pipe',
  'target',
  'exhaust',
  'exhaustK',
  'outlet',
  'charge',
  'ideal',
  'flow',
  'meter',
  'lambda',
  'lambdaTarget',
  'spark',
  'retard',
  'duty',
  'pulse',
  'rail',
  'shaft',
  'chokeShare',
  'efficiency',
  'wastegate',
  'opening',
  'torque',
  'coolant',
  'oil',
  'oilPressure',
  'battery',
  'injection',
  'misfires',
  'knocks',
  'full',
] as const;
export type TrueName = (typeof TRUE_NAMES)[number];
export type Truth = Readonly<Record<TrueName, Float64Array>>;

export interface TruePull {
  readonly startS: number;
  readonly endS: number;
  readonly gears: readonly number[];
  readonly parts: readonly { readonly gear: number; readonly startS: number; readonly endS: number }[];
}

export interface Driven {
  readonly truth: Truth;
  readonly lengthS: number;
  readonly pulls: readonly TruePull[];
}

const GRAVITY = 9.81;
const PER_RPM = Math.PI / 30;

/** Tyre force over load at a slip: rises to its top near 0.1 and falls little (Pacejka, Tyre and Vehicle Dynamics, ch. 1; from memory). */
const grips = (slip: number, grip: number): number => grip * Math.sin(1.4 * Math.atan(12 * slip));

export const drive = (
  healthy: TrueCar,
  day: Day,
  legs: readonly Leg[],
  chance: Chance,
  fault: Fault | null,
): Driven => {
  const car = bent(healthy, fault);
  const { engine, fuel, compressor, cooler } = car;
  const mostS = legs.reduce((sum, leg) => sum + leg.seconds, 0);
  const size = Math.ceil(mostS / KEPT_S) + 1;
  const truth = Object.fromEntries(TRUE_NAMES.map((name) => [name, new Float64Array(size)])) as Record<
    TrueName,
    Float64Array
  >;
  const limitRpm = limitRpmOf(compressor);
  const diesel = fuel.kind === 'diesel';
  const { outsidePa, outsideK } = day;

  let speed = 0;
  let rpm = 0;
  let wheelRad = 0;
  let shaftRpm = 8000;
  let pipePa = outsidePa;
  let manifoldPa = outsidePa;
  let exhaustPa = outsidePa;
  let exhaustK = 500;
  let pedal = 0;
  let throttle = 0;
  let metalK = outsideK + (day.cold ? 0 : 3);
  let chargeK = metalK;
  let opening = 0;
  let control = 0;
  let pipeBefore = pipePa;
  let risePaPerS = 0;
  let coolantK = day.cold ? outsideK : 361;
  let oilK = day.cold ? outsideK : 358;
  let batteryV = 12.6;
  let lambda = 1;
  let lambdaTarget = 1;
  let retard = 0;
  let misfires = 0;
  let knocks = 0;
  let idleSum = 0;
  let speedSum = 0;
  let gear = 0;
  let clutch = 0;
  let injectionFlow = 0;
  let outK = outsideK;
  let lastFilm = 0;
  let misfiring = 0;
  let knockAt = -1;
  let topRpm = 0;

  let legAt = 0;
  let legS = 0;
  let shifting = 0;
  let shiftTo = 0;
  let pullGear = 0;
  let isFull = false;
  const ratioOf = (g: number) => car.gears[g - 1]! * car.final;
  const drivenN = (ax: number) =>
    car.massKg *
    (car.wheels === 'all'
      ? GRAVITY
      : GRAVITY * car.drivenShare + (car.wheels === 'rear' ? 1 : -1) * car.centreHeight * ax);
  let acceleration = 0;

  const pulls: {
    startS: number;
    endS: number;
    gears: number[];
    parts: { gear: number; startS: number; endS: number }[];
  }[] = [];
  let open: (typeof pulls)[number] | null = null;
  let partStart = 0;
  let partRpm = 0;
  let timeS = 0;
  // Handed what they need: what a closure holds is slow to change.
  const endPart = (timeS: number, rpm: number, partGear: number, partStart: number, partRpm: number) => {
    if (!open) return;
    // A pull counts from 0.8 s and 500 rpm gained, as the labelled logs count it.
    if (timeS - partStart > 0.8 && rpm - partRpm > 500) {
      open.parts.push({ gear: partGear, startS: partStart, endS: timeS });
      open.gears.push(partGear);
    }
  };
  const endPull = () => {
    if (open && open.parts.length > 0)
      pulls.push({ ...open, startS: open.parts[0]!.startS, endS: open.parts.at(-1)!.endS });
    open = null;
  };

  let at = 0;
  let step = 0;
  let lastTarget = outsidePa;
  let idealK = chargeK;
  let flow = 0;
  let meter = 0;
  let spark = 10;
  let duty = 0;
  let pulse = 0;
  let rail = 0;
  let chokeShare = 0;
  let efficiency = 0.5;
  let torque = 0;
  let oilPressure = 0;

  while (legAt < legs.length && at < size) {
    const leg = legs[legAt]!;
    // What comes at an engine speed stays for the rest of the gear.
    const loaded = pedal > 0.95 && shifting <= 0;
    topRpm = loaded ? Math.max(topRpm, rpm) : rpm;
    const spoil = spoilsIn(fault, topRpm, loaded);
    const running = leg.act !== 'off' && leg.act !== 'crank';
    const targetGear = leg.gears?.[0] ?? gear;
    // Gears and clutch.
    const stalls = leg.act === 'brake' && rpm < 1200;
    const isOpen = leg.act === 'idle' || leg.act === 'off' || leg.act === 'crank' || leg.act === 'neutral' || stalls;
    const wants = isOpen ? 0 : pullGear || targetGear;
    if (shifting > 0) {
      shifting -= STEP_S;
      clutch = 0;
      if (shifting <= 0) gear = shiftTo;
    } else if (wants === 0) {
      clutch = 0;
      if (stalls) gear = 0;
    } else if (leg.act === 'launch') {
      gear = wants;
      clutch = Math.min(1, clutch + STEP_S / 1.6);
    } else if (wants !== gear) {
      if (speed < 1.5) gear = wants;
      else {
        shifting = leg.act === 'pull' ? car.shiftS : car.shiftS + 0.3;
        shiftTo = wants;
      }
      clutch = 0;
    } else clutch = Math.min(1, Math.max(clutch, 0.02) + STEP_S / 0.08);
    const ratio = gear > 0 ? ratioOf(gear) : 0;
    const inputRpm = (wheelRad * ratio) / PER_RPM;

    // Driver.
    let wantPedal = 0;
    let brakeN = 0;
    if (leg.act === 'launch') wantPedal = Math.max(0.03, Math.min(0.4, 0.08 + (2000 - rpm) / 5000));
    else if (leg.act === 'hold') {
      const error = (leg.speed ?? 15) - speed;
      speedSum = Math.max(-0.05, Math.min(0.3, speedSum + error * 0.02 * STEP_S));
      wantPedal = shifting > 0 ? 0 : Math.max(0, Math.min(0.38, 0.045 * error + speedSum));
      if (error < -3) brakeN = 0.15 * car.massKg * GRAVITY * Math.min(1, (-error - 3) / 3);
    } else if (leg.act === 'pull') {
      wantPedal = shifting > 0 || (clutch < 0.99 && legS < 0.15) ? 0 : 1;
      if (legS < 0.02 && gear !== targetGear) wantPedal = 0;
    } else if (leg.act === 'part') wantPedal = shifting > 0 ? 0 : (leg.pedal ?? 0.6);
    else if (leg.act === 'brake') brakeN = 0.35 * car.massKg * GRAVITY;
    pedal += (wantPedal - pedal) * Math.min(1, STEP_S / (wantPedal > pedal ? 0.05 : 0.03));
    if (wantPedal === 1 && pedal > 0.985) pedal = 1;
    if (pedal < 0.002) pedal = 0;
    let idleAir = 0;
    if (running) {
      // Cold engines idle faster.
      const idle = engine.idleRpm * (1 + 0.35 * Math.max(0, Math.min(1, (330 - coolantK) / 40)));
      idleSum = Math.max(0, Math.min(0.25, idleSum + (idle - rpm) * 1.5e-4 * STEP_S));
      idleAir = pedal < 0.02 && rpm < idle * 1.6 ? Math.max(0, idleSum + 2e-4 * (idle - rpm)) : idleSum * 0.6;
    }
    const wantThrottle = diesel ? 1 : Math.min(spoil.throttleMost, Math.max(pedal, 0.02 + idleAir * 0.6));
    throttle += (wantThrottle - throttle) * Math.min(1, STEP_S / 0.04);

    // Air.
    const soft = 2.2 + 4.5 * Math.max(0, 1 - rpm / engine.revLimitRpm);
    const loadShare = diesel ? 1 : (1 - Math.exp(-Math.max(0, throttle - 0.02) * soft)) / (1 - Math.exp(-soft));
    const least = 0.16 * outsidePa;
    const dropPa = cooler.dropPa * (flow / cooler.referenceFlow) ** 2;
    const wantManifold =
      rpm < 60 ? outsidePa : least + (pipePa - dropPa - least) * Math.max(loadShare, running ? 0.9 * idleAir : 0.6);
    manifoldPa += (wantManifold - manifoldPa) * Math.min(1, STEP_S / 0.035);
    const filling = rpm > 60 ? fillingOf(engine, Math.max(rpm, 500), exhaustPa, manifoldPa) : 0;
    flow = rpm > 60 ? airFlowOf(engine, filling, rpm, manifoldPa, chargeK) : 0;
    // Water-methanol cools the charge a little and burns.
    if (car.injection) {
      const on = pipePa - outsidePa > car.injection.startPa && running;
      const full =
        car.injection.flowM3PerS * Math.sqrt(Math.max(0, 1 - (manifoldPa - outsidePa) / car.injection.pumpPa));
      injectionFlow += ((on ? full * spoil.injectionShare : 0) - injectionFlow) * Math.min(1, STEP_S / 0.2);
    }
    // Fuel: full-load map on demand, else stoichiometric in closed loop; cut on over-run.
    const demand = diesel ? pedal : Math.max(pedal, loadShare * 0.8);
    const fullLambda = along(car.lambda, rpm);
    const wantTarget = diesel
      ? Math.min(8, fullLambda / Math.max(0.05, pedal, 0.03 + idleAir))
      : manifoldPa > outsidePa * 0.97 && demand > 0.55
        ? fullLambda
        : 1 - (1 - fullLambda) * Math.max(0, Math.min(1, (manifoldPa - 0.85 * outsidePa) / (0.12 * outsidePa)));
    lambdaTarget += (wantTarget - lambdaTarget) * Math.min(1, STEP_S / 0.06);
    const cut = running && !diesel && clutch > 0.5 && pedal < 0.01 && rpm > engine.idleRpm + 700;
    const film = 0.05 * (throttle - lastFilm);
    lastFilm += (throttle - lastFilm) * (STEP_S / 0.2);
    const metered = car.metered ? Math.min(car.meterCeiling, flow * (1 + spoil.leakShare)) : flow;
    const closed = !diesel && Math.abs(lambdaTarget - 1) < 0.01;
    const hum = closed ? 0.008 * Math.sin(2 * Math.PI * 0.8 * timeS) : 0.004 * Math.sin(2 * Math.PI * 0.5 * timeS + 1);
    const meant =
      (lambdaTarget * (1 + hum + film) + (closed ? 0 : spoil.lambdaOff)) *
      (closed || !car.metered ? 1 : flow / Math.max(1e-6, metered));
    const fuelKgPerS = flow > 0 && !cut ? flow / fuel.airPerFuel / meant : 0;
    const railShare = 1 - spoil.railLost * Math.min(1, (fuelKgPerS / (car.peakFlow / fuel.airPerFuel / 0.85)) ** 2);
    // Over the outside air; a regulator with a hose to the manifold adds what is in there.
    const manifoldOverPa = manifoldPa - outsidePa;
    rail = car.railPa * railShare + (car.railFollows ? manifoldOverPa : 0);
    const acrossShare = car.railFollows ? 1 : Math.max(0.2, 1 - manifoldOverPa / car.railPa);
    const perShot = rpm > 60 ? fuelKgPerS / fuel.densityKgPerM3 / engine.cylinders / (rpm / 120) : 0;
    // The control opens for the pressure it believes in.
    const openS = perShot / (car.injectorM3PerS * Math.sqrt((car.railPa * acrossShare) / 300e3));
    pulse = perShot > 0 ? openS + car.deadTimeS * (14 / Math.max(9, batteryV)) : 0;
    duty = Math.min(1, (pulse * rpm) / 120);
    const starved = diesel
      ? 1
      : Math.min(1, (120 / Math.max(60, rpm) - car.deadTimeS) / Math.max(1e-6, openS)) * Math.sqrt(railShare);
    lambda += ((cut ? 3 : rpm > 400 ? meant / Math.max(0.3, starved) : 3) - lambda) * Math.min(1, STEP_S / 0.04);
    // Timing.
    const bar = manifoldPa / 1e5;
    const late = diesel ? 0 : Math.max(0, bar - 1.05) * (fuel.kind === 'petrol' ? (fuel.octane > 96 ? 8 : 10) : 2);
    if (spoil.knocks && knockAt < 0) {
      knockAt = timeS;
      retard = spoil.retardDeg;
      knocks += 3;
    }
    if (!spoil.knocks) knockAt = -1;
    else if (timeS - knockAt > 0.4) {
      retard = Math.min(spoil.retardDeg, retard + 0.75);
      knocks += 1;
      knockAt = timeS;
    }
    retard = Math.max(0, retard - 1.2 * STEP_S);
    spark = Math.max(-5, 34 - 11 * Math.max(0, bar - 0.3) + 0.0012 * Math.min(3000, rpm - 2000) - late - retard);
    // Idle is held with late timing, so that it can be caught quickly.
    const idling = !diesel && pedal < 0.02 && rpm < engine.idleRpm * 1.5;
    const made =
      flow > 0 && !cut
        ? burn(
            engine,
            fuel,
            flow,
            Math.max(0.6, lambda),
            Math.max(rpm, 600),
            chargeK,
            late + retard + (idling ? 18 : 0),
          )
        : { workW: 0, exhaustK: 480 };
    exhaustK += (made.exhaustK - exhaustK) * Math.min(1, STEP_S / 0.15);
    if (spoil.misfireShare > 0) {
      misfiring -= STEP_S;
      if (misfiring <= 0 && chance.is((spoil.misfireShare * rpm * engine.cylinders * STEP_S) / 120)) {
        misfiring = 120 / rpm / engine.cylinders;
        misfires += 1;
        lambda += 0.12;
      }
    } else misfiring = 0;
    const work = misfiring > 0 ? 0 : made.workW;
    const rad = Math.max(20, rpm * PER_RPM);
    const volume = engine.displacementM3 / (4 * Math.PI);
    const dragNm =
      (frictionOf(engine, rpm) + Math.max(0, exhaustPa - manifoldPa)) *
      volume *
      (1 + 0.6 * Math.max(0, Math.min(1, (340 - oilK) / 50)));
    // Water pump, alternator and the rest: some 3 N m and 1 more by the litre.
    const accessoryNm = 3 + 1e3 * engine.displacementM3;
    const pumpNm = manifoldPa > exhaustPa ? (manifoldPa - exhaustPa) * volume : 0;
    torque = rpm > engine.revLimitRpm ? -dragNm - accessoryNm : work / rad - dragNm - accessoryNm + pumpNm;
    if (leg.act === 'crank') torque = (230 - rpm) * 1.5;
    if (leg.act === 'off') torque = rpm > 5 ? -30 : 0;

    // Exhaust and shaft.
    const gas = flow + fuelKgPerS;
    const downPa = outsidePa + car.exhaust.systemPaPerFlow2 * spoil.exhaustBlocked * gas * gas;
    const area = car.exhaust.turbineAreaM2 + opening * car.exhaust.wastegateAreaM2;
    const through = exhaustPa > downPa ? orifice(area, exhaustPa, exhaustK, downPa) : 0;
    exhaustPa = Math.max(
      outsidePa * 0.99,
      exhaustPa + ((gas - through) * GAS_CONSTANT * exhaustK * STEP_S) / (0.0012 * engine.cylinders),
    );
    const inletPa = outsidePa - car.filterPaPerFlow2 * flow * flow;
    const share = shaftRpm / limitRpm / Math.sqrt(outsideK / 298);
    const line = lineAt(compressor, share);
    const ratioNow = pipePa / inletPa;
    let corrected = flowOnLine(compressor, line, ratioNow) * spoil.surge(timeS);
    if (ratioNow < 1) corrected = Math.max(corrected, line.choke * 0.5);
    const pumped = (corrected * inletPa) / 100e3 / Math.sqrt(outsideK / 298);
    const isDump = !diesel && throttle < 0.25 && pipePa > outsidePa + 8e3;
    const dumped = isDump ? ((pipePa - outsidePa) * car.chargeM3) / (GAS_CONSTANT * 310) / 0.06 : 0;
    // Below outside pressure air is drawn through a turning wheel.
    const drawn = pipePa < outsidePa * 0.995 ? ((outsidePa - pipePa) * car.chargeM3) / (GAS_CONSTANT * 300) / 0.02 : 0;
    const leak = flow * spoil.leakShare;
    pipePa += ((pumped + drawn - flow - dumped - leak) * GAS_CONSTANT * chargeK * STEP_S) / car.chargeM3;
    const passing = Math.max(pumped, 1e-4);
    chokeShare = corrected / line.choke;
    efficiency = efficiencyAt(compressor, share, correctedFlow(passing, outsideK, inletPa));
    outK += (outletK(outsideK, Math.max(1, ratioNow), efficiency) - outK) * Math.min(1, STEP_S / 0.05);
    const turbineW = turbinePowerW(
      car.exhaust,
      (through * car.exhaust.turbineAreaM2) / area,
      exhaustPa,
      exhaustK,
      downPa,
      shaftRpm,
    );
    const shaftRad = Math.max(400, shaftRpm * PER_RPM);
    shaftRpm +=
      ((turbineW -
        compressorPowerW(passing, outsideK, Math.max(outsideK, outletK(outsideK, Math.max(1, ratioNow), efficiency))) -
        2e-9 * shaftRad * shaftRad) /
        shaftRad /
        car.shaftInertiaKgM2 /
        PER_RPM) *
      STEP_S;
    shaftRpm = Math.max(3000, shaftRpm);
    meter = metered;
    risePaPerS += ((pipePa - pipeBefore) / STEP_S - risePaPerS) * (STEP_S / 0.05);
    pipeBefore = pipePa;
    const boostAsked = along(car.boost, rpm);
    const asking = diesel
      ? Math.max(0, Math.min(1, (pedal - 0.15) / 0.6))
      : Math.max(0, Math.min(1, (pedal - 0.3) / 0.6));
    lastTarget = outsidePa + boostAsked * asking;
    // Wastegate: what the opening should be, corrected by how boost stands and rises.
    const errorPa = lastTarget - manifoldPa;
    const near = Math.abs(errorPa) < 20e3 && asking > 0.9;
    if (near) control -= ((errorPa / boostAsked) * 0.7 * STEP_S) / (spoil.lazy ? 2 : 1);
    else if (asking < 0.2) control *= 1 - STEP_S / 0.5;
    control = Math.max(-0.5, Math.min(0.7, control));
    const ahead = spoil.lazy ? 0 : 0.25;
    const wantOpening =
      asking < 0.15
        ? Math.max(0, (pipePa - outsidePa - car.crackPa) / car.spanPa)
        : along(car.openings, rpm) + control - (2.2 * (errorPa - ahead * risePaPerS)) / boostAsked;
    const held = Math.max(
      spoil.openingLeast * asking,
      Math.min(spoil.openingMost, Math.max(0, Math.min(1, wantOpening))),
    );
    opening += (held - opening) * Math.min(1, STEP_S / (spoil.lazy ? 0.35 : 0.09));

    // Charge cooler: gas to metal, metal to outside.
    const against = Math.max(0.3, cooler.atRest - cooler.fall * (flow / cooler.referenceFlow)) * spoil.coolerShare;
    const afterK = outK - against * (outK - metalK);
    idealK = outK - Math.max(0.3, cooler.atRest - cooler.fall * (flow / cooler.referenceFlow)) * (outK - outsideK);
    metalK +=
      ((flow * 1005 * (outK - afterK) -
        (cooler.standingWPerK + cooler.movingWPerK * speed ** 0.55) * (metalK - outsideK)) /
        cooler.metalJPerK) *
      STEP_S;
    const sprayK =
      injectionFlow > 0 ? Math.min(18, (injectionFlow * 900 * 1.6e6 * 0.5) / Math.max(0.02, flow) / 1005) : 0;
    chargeK += (afterK - sprayK + (rpm < 300 ? 0 : speed < 2 ? 4 : 1.5) - chargeK) * Math.min(1, STEP_S / 0.08);

    // Fluids and electrics.
    coolantK +=
      (((rpm > 300 ? 0.35 * made.workW + 2500 : 0) * 2.4 -
        (coolantK > 361 ? 9000 : 60) * (coolantK - (coolantK > 361 ? 358 : outsideK))) /
        9e4) *
      STEP_S;
    coolantK += (spoil.coolantK > 0 ? (spoil.coolantK - coolantK) / 12 : 0) * STEP_S;
    oilK += ((coolantK + 6 + (0.1 * made.workW) / 1e3 - oilK) / 90) * STEP_S;
    const thin = Math.max(0.55, 1.6 - (oilK - 300) / 110);
    oilPressure = Math.min(car.oilReliefPa * (0.97 + 0.01 * thin), (rpm / 1000) * 145e3 * thin) * spoil.oilShare(rpm);
    const charged =
      rpm > 500
        ? spoil.chargeV || car.alternatorV - 0.0025 * Math.max(0, coolantK - 340)
        : leg.act === 'crank'
          ? 10.2
          : 12.5;
    batteryV += (charged - batteryV) * Math.min(1, STEP_S / 0.2);

    // Driveline.
    const driveN = drivenN(acceleration);
    const grade = day.grade + day.hill * Math.sin(timeS / 23);
    const roadN =
      0.5 *
        (outsidePa / GAS_CONSTANT / outsideK) *
        car.dragAreaM2 *
        (speed + day.windMPerS) *
        Math.abs(speed + day.windMPerS) +
      (speed > 0.05 ? car.massKg * GRAVITY * (car.rolling + grade) : 0);
    const slip = (wheelRad * car.tyreM - speed) / Math.max(3, speed);
    const tyreN = Math.sign(slip) * driveN * grips(Math.abs(slip), car.grip * spoil.gripShare);
    let clutchNm = 0;
    if (gear > 0 && clutch > 0) {
      const most = clutch * clutch * car.clutchNm * spoil.clutchShare;
      const gapRad = (rpm - inputRpm) * PER_RPM;
      // What keeps both sides together, else what slips through.
      const lock = torque - engine.inertiaKgM2 * (acceleration / car.tyreM) * ratio;
      clutchNm = Math.max(
        -most,
        Math.min(
          most,
          lock +
            (gapRad * engine.inertiaKgM2 * 0.4) /
              STEP_S /
              (1 + (engine.inertiaKgM2 * ratio * ratio) / car.wheelInertia),
        ),
      );
    }
    rpm += ((torque - clutchNm) / engine.inertiaKgM2 / PER_RPM) * STEP_S;
    if (shifting > 0 && running) {
      // The engine is caught at the speed of the next gear.
      const next = Math.max(engine.idleRpm, (wheelRad * ratioOf(shiftTo)) / PER_RPM);
      rpm += (next - rpm) * Math.min(1, STEP_S / (0.35 * car.shiftS));
    }
    rpm = Math.max(running ? engine.idleRpm * 0.6 : 0, rpm);
    if (leg.act === 'off' && rpm < 5) rpm = 0;
    const atWheels = clutchNm > 0 ? clutchNm * ratio * car.efficiency : (clutchNm * ratio) / car.efficiency;
    const brakes = speed > 0.1 ? brakeN : 0;
    wheelRad +=
      ((atWheels - tyreN * car.tyreM - Math.sign(wheelRad) * brakes * 0.6 * car.tyreM) / car.wheelInertia) * STEP_S;
    wheelRad = Math.max(0, wheelRad);
    acceleration += ((tyreN - roadN - brakes * 0.4) / (car.massKg + 35) - acceleration) * Math.min(1, STEP_S / 0.01);
    speed = Math.max(0, speed + ((tyreN - roadN - brakes * 0.4) / (car.massKg + 35)) * STEP_S);

    // Pulls, as the driver makes them.
    const home = clutch > 0.99 && shifting <= 0 && Math.abs(rpm - inputRpm) < 0.05 * rpm;
    const nowFull = leg.act === 'pull' && pedal > 0.97;
    if (nowFull && !isFull && home) {
      if (!open) open = { startS: timeS, endS: 0, gears: [], parts: [] };
      pullGear = gear;
      partStart = timeS;
      partRpm = rpm;
      isFull = true;
    } else if (isFull && !nowFull) {
      endPart(timeS, rpm, pullGear, partStart, partRpm);
      isFull = false;
    }

    if (step % Math.round(KEPT_S / STEP_S) === 0) {
      const kept: Readonly<Record<TrueName, number>> = {
        rpm,
        speed,
        wheel: wheelRad * car.tyreM,
        acceleration,
        pedal,
        throttle,
        gear: clutch > 0.5 ? gear : 0,
        clutch,
        manifold: manifoldPa,
        pipe: pipePa,
        target: lastTarget,
        exhaust: exhaustPa,
        exhaustK,
        outlet: outK,
        charge: chargeK,
        ideal: idealK,
        flow,
        meter,
        lambda,
        lambdaTarget,
        spark,
        retard,
        duty,
        pulse,
        rail,
        shaft: shaftRpm,
        chokeShare,
        efficiency,
        wastegate: diesel ? 0.9 * (1 - opening) : control,
        opening,
        torque,
        coolant: coolantK,
        oil: oilK,
        oilPressure,
        battery: batteryV,
        injection: injectionFlow,
        misfires,
        knocks,
        full: isFull ? 1 : 0,
      };
      for (const name of TRUE_NAMES) truth[name][at] = kept[name];
      at++;
    }
    step++;
    timeS = step * STEP_S;
    legS += STEP_S;
    if (leg.act === 'pull' && shifting <= 0 && legS > 0.3) {
      const until = leg.untilRpm ?? engine.shiftRpm;
      if (rpm >= until || legS >= leg.seconds) {
        const place = leg.gears!.indexOf(pullGear || targetGear);
        const next = leg.gears![place + 1];
        if (next !== undefined && legS < leg.seconds) {
          endPart(timeS, rpm, pullGear, partStart, partRpm);
          isFull = false;
          pullGear = next;
        } else {
          if (isFull) endPart(timeS, rpm, pullGear, partStart, partRpm);
          isFull = false;
          endPull();
          pullGear = 0;
          legAt++;
          legS = 0;
        }
      }
    } else if (leg.act !== 'pull') {
      const done =
        legS >= leg.seconds ||
        (leg.act === 'brake' && speed <= (leg.speed ?? 0) + 0.1) ||
        (leg.act === 'coast' && rpm < 1500) ||
        (leg.act === 'part' && rpm > (leg.untilRpm ?? engine.shiftRpm));
      if (done) {
        legAt++;
        legS = 0;
      }
    }
  }
  const cutTo = Object.fromEntries(TRUE_NAMES.map((name) => [name, truth[name].subarray(0, at)])) as unknown as Truth;
  return { truth: cutTo, lengthS: at * KEPT_S, pulls };
};
