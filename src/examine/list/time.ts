/** Examinations of time: it comes from the tick of Sense and from nothing else. */
import { type Drive, NOT_FITTED, STATE_STARTING } from '../../protocol/frames.ts';
import { type Examination, holds, judged, notExamined, warning } from '../examination.ts';
import { topCount } from '../pins.ts';
import { Rotor, SETTLED_TICKS } from '../rotor.ts';
import type { Subject } from '../subject.ts';
import { isTripped, statusName } from '../words.ts';

/**
 * Share by which the speed that a board shows may deviate when the same rotor is shown in another way. A board that counts
 * frames instead of ticks is off by a factor of two; one that averages over edges in ticks is off by a tick in a sector.
 */
const SPEED_SHARE = 0.2;
const TICKS = 'measure time as the difference of two ticks in unsigned 32 bit; TIME.md';

/** Speed of the turning rotor as the board shows it, in words, when it deviates; undefined when it does not. */
function deviates(what: string, shown: number, steady: number): string | undefined {
  const share = Math.abs(shown - steady) / Math.abs(steady);
  if (share <= SPEED_SHARE) return undefined;
  return `${what} its speed reads ${shown.toPrecision(4)} instead of ${steady.toPrecision(4)}`;
}

/** Boots, turns the rotor until its speed stands, and gives both; the speed is NaN when the board shows none. */
async function turning(subject: Subject, firstTick?: number): Promise<{ rotor: Rotor; steady: number }> {
  await subject.boot({}, firstTick);
  const rotor = new Rotor(subject.tick_s);
  const steady = subject.speedColumn < 0 ? Number.NaN : await subject.spin(rotor, SETTLED_TICKS);
  return { rotor, steady: steady === 0 ? Number.NaN : steady };
}

const JUMPS = [2, 3, 10, 300];

export const lostFrame: Examination = {
  id: 'lost-frame',
  title: 'A frame that got lost',
  does: `lets the tick jump by ${JUMPS.join(', ')}; turns a rotor and leaves out every other tick`,
  expects: 'the answer carries the new tick, nothing trips, and the speed stays what it was',
  matters: 'a frame lost on the line still took its time; a board that counts frames sees half of the speed',
  mend: TICKS,
  async run(subject) {
    const { steady, rotor } = await turning(subject);
    const faults: (string | undefined)[] = [];
    if (!Number.isNaN(steady)) {
      const every2 = await subject.spin(rotor, SETTLED_TICKS, { stride: 2 });
      faults.push(deviates('with every other tick left out', every2, steady));
    }
    await subject.boot();
    for (const jump of JUMPS) {
      subject.sense({}, jump - 1);
      const drive = await subject.step({}, `a tick ${jump} ahead`);
      if (isTripped(drive)) faults.push(`a jump by ${jump} ticks gives ${statusName(drive)}`);
    }
    return judged(faults.filter(isText), seen(subject, steady, 'jumps are answered'));
  },
};

export const repeatedFrame: Examination = {
  id: 'repeated-frame',
  title: 'A frame that comes twice',
  does: 'sends the same Sense twice; turns a rotor and sends every frame twice',
  expects: 'an answer with that tick, once or twice; time does not advance by the second one',
  matters: 'an adapter that repeats frames would make a board that counts them see twice the time',
  mend: `${TICKS}; answer a repeated Sense from what was answered before (phantom_board does)`,
  async run(subject) {
    const { steady, rotor } = await turning(subject);
    const faults: (string | undefined)[] = [];
    if (!Number.isNaN(steady)) {
      const twice = await subject.spin(rotor, SETTLED_TICKS, { repeat: 2 });
      faults.push(deviates('with every frame sent twice', twice, steady));
    }
    await subject.probe.pause(subject.terms.settle_s);
    await subject.boot();
    const sense = subject.sense();
    await subject.ask(sense);
    subject.probe.send(subject.probe.senseFrame(sense));
    await subject.probe.pause(subject.terms.settle_s);
    const answers = subject.probe.drives;
    if (answers.length > 2) faults.push(`${answers.length} Drives came for two equal Senses`);
    if (answers.some(({ tick }) => tick !== sense.tick)) faults.push('the second answer carries another tick');
    await subject.step({}, 'the Sense after a repeated one');
    const how = answers.length === 1 ? 'once' : 'twice, as allowed';
    return judged(faults.filter(isText), seen(subject, steady, `the repeated Sense was answered ${how}`));
  },
};

/** Ticks before the wrap at which the offsets are known and the rotor turns. */
const BEFORE_WRAP = 6000;

export const tickWrap: Examination = {
  id: 'tick-wrap',
  title: 'The tick wraps',
  does: 'boots shortly before 2^32 and goes through 0xFFFFFFFE, 0xFFFFFFFF, 0, 1, 2 with a turning rotor',
  expects: 'each answer carries its tick, nothing trips, the speed does not jump',
  matters: 'at 20 kHz the tick wraps after 60 hours, in an endurance run at night',
  mend: TICKS,
  async run(subject) {
    const speed = subject.speedColumn;
    const rotor = new Rotor(subject.tick_s);
    const { last } = await subject.boot({}, 2 ** 32 - BEFORE_WRAP);
    const faults: (string | undefined)[] = [];
    const near = 2 ** 32 - SETTLED_TICKS - subject.tick;
    if (near > 0) subject.tick += near; // the gap is a standstill, not a fault
    let steady = Number.NaN;
    if (speed >= 0) steady = await subject.spin(rotor, 2 ** 32 - 4 - subject.tick);
    else subject.tick = 2 ** 32 - 4;
    for (let k = 0; k < 8; k++) {
      rotor.turn(1);
      const pins = speed < 0 ? {} : rotor.pins;
      const tick = (subject.tick + 1) >>> 0;
      const drive = await subject.step(pins, `tick 0x${tick.toString(16)}`);
      subject.probe.forget();
      if (isTripped(drive) || (drive.state === STATE_STARTING && last.state !== STATE_STARTING))
        faults.push(`at tick 0x${tick.toString(16)} it says ${statusName(drive)}`);
      if (!Number.isNaN(steady) && steady !== 0)
        faults.push(deviates(`at tick 0x${tick.toString(16)}`, drive.watch[speed], steady));
    }
    subject.tick = 1000;
    return judged(faults.filter(isText), seen(subject, steady, 'eight ticks across the wrap'));
  },
};

/** Signs of life while the drill waits [s]. */
const BEAT_EVERY_S = 0.25;

export const wallPause: Examination = {
  id: 'wall-pause',
  title: 'The drill waits',
  does: 'turns a rotor, lets wall time pass between two ticks with Beats as the drill sends them, and goes on',
  expects: 'nothing trips, nothing restarts, speed and state are what they were: no virtual time has passed',
  matters: 'a drill that is paused or computes stops the ticks; a watchdog on the clock of the board then trips',
  mend: 'feed watchdogs, ramps, debouncers and thermal timers from the tick; TIME.md',
  async run(subject) {
    if (!subject.hello.virtualTick) return notExamined('Hello.virtualTick is false: the board keeps its own time');
    const { probe, terms } = subject;
    const { steady, rotor } = await turning(subject);
    const last = Number.isNaN(steady) ? await subject.step() : await turnOn(subject, rotor);
    const hellos = probe.hellos;
    for (let waited_s = 0; waited_s < terms.pause_s; waited_s += BEAT_EVERY_S) {
      await probe.pause(Math.min(BEAT_EVERY_S, terms.pause_s - waited_s));
      probe.send(probe.beatFrame(0x100 + Math.round(waited_s / BEAT_EVERY_S), 0));
    }
    const drive = Number.isNaN(steady)
      ? await subject.step({}, `the first tick after ${terms.pause_s} s`)
      : await turnOn(subject, rotor);
    const faults: (string | undefined)[] = [];
    if (isTripped(drive) && !isTripped(last)) faults.push(`after ${terms.pause_s} s it says ${statusName(drive)}`);
    else if (drive.state !== last.state) faults.push(`its state went from ${statusName(last)} to ${statusName(drive)}`);
    if (probe.hellos > hellos) faults.push('it said Hello unasked: it has restarted');
    if (!Number.isNaN(steady))
      faults.push(deviates(`after ${terms.pause_s} s`, drive.watch[subject.speedColumn], steady));
    return judged(faults.filter(isText), seen(subject, steady, `${terms.pause_s} s between two ticks changed nothing`));
  },
};

function turnOn(subject: Subject, rotor: Rotor): Promise<Drive> {
  rotor.turn(1);
  return subject.step(rotor.pins, 'a tick of the turning rotor');
}

/** Shift of all current channels that a board takes for an offset: 1 % of the converter. */
const OFFSET_SHARE = 0.01;
/** Ticks with the link at the end of its range: what is judged by time has been judged. */
const TRIP_TICKS = 100;

export const powerCycle: Examination = {
  id: 'power-cycle',
  title: 'The supply goes and comes',
  does: 'boots with a turning rotor, a link far too high and other offsets behind it: Power off and on, SENSE_BOOT',
  expects: 'no answer to Power; the board starts as after a reset: no speed, no trip, offsets measured anew, gates off',
  matters: 'each press of the trigger powers the logic up: what is left from before drives the next screw',
  mend: 'on SENSE_BOOT do what reset does, before anything else of that tick; TIME.md',
  async run(subject) {
    const { probe, hello } = subject;
    const { rotor, steady } = await turning(subject);
    if (subject.speedColumn >= 0) await subject.spin(rotor, SETTLED_TICKS / 2);
    const high = await subject.steps(TRIP_TICKS, { link: topCount(hello) });
    const before = isTripped(high) ? high : undefined;
    const faults: string[] = [];

    const from = subject.sense();
    const step = Math.round(OFFSET_SHARE * topCount(hello));
    const shifted = Object.fromEntries(
      (['ia', 'ib', 'ic'] as const).filter((key) => from[key] !== NOT_FITTED).map((key) => [key, from[key] + step]),
    );
    const boot = await subject.boot(shifted);
    if (boot.first.gates !== 0) faults.push('legs are driven in the tick of the boot');
    if (isTripped(boot.first)) faults.push(`in the tick of the boot it still says ${statusName(boot.first)}`);
    else if (isTripped(boot.last)) faults.push(`after the boot it says ${statusName(boot.last)}`);
    if (!Number.isNaN(steady) && Math.abs(boot.first.watch[subject.speedColumn]) > SPEED_SHARE * Math.abs(steady))
      faults.push(`after the boot its speed still reads ${boot.first.watch[subject.speedColumn].toPrecision(4)}`);
    const again = await subject.boot();
    if (again.starting !== boot.starting)
      faults.push(`it started for ${boot.starting} ticks, and for ${again.starting} at the next boot`);
    const unasked = probe.drives.length;
    if (unasked > 0) faults.push(`${unasked} Drives came unasked`);
    if (faults.length > 0) return judged(faults, '');
    const tripped = before
      ? `${statusName(before)} was forgotten`
      : 'nothing tripped at a link at the end of its range';
    if (boot.starting === 0)
      return warning(
        `the first answer after a boot is ${statusName(boot.first)}: are offsets measured at all? ${tripped}`,
      );
    return holds(`${boot.starting} ticks in STATE_STARTING after each boot; ${tripped}`);
  },
};

const isText = (text: string | undefined): text is string => text !== undefined;

/** What was seen, with the speed that stayed when the board shows one. */
function seen({ hello, speedColumn }: Subject, steady: number, what: string): string {
  const speed = Number.isNaN(steady)
    ? 'no watch value follows motorSpeed: judged by ticks and trips alone'
    : `rotor speed stays ${steady.toPrecision(4)} ${hello.watch[speedColumn].unit}`;
  return `${what}; ${speed}`;
}
