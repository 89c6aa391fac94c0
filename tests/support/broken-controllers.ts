/**
 * The built-in controllers with one defect each, as firmware has shown them. Like any controller they see frames and
 * nothing else: a defect either stands between the frames and the sound controller, or takes one part of it out.
 */
import { blankSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { type Drive, SENSE_BOOT, SENSE_IN, SENSE_OUT, type Sense } from '../../src/protocol/frames.ts';

export interface Defect {
  readonly name: string;
  /** Which built-in controller has it. */ readonly of: 'hall-six-step' | 'sensorless';
  /** Spoils a sound controller. */ spoil(sound: Controller): Controller;
  /** Scenarios of the library that the sound one passes and this one does not. */ readonly caughtBy: readonly string[];
}

/** A controller whose frames pass through `before` and `after`. */
function between(
  sound: Controller,
  before: (sense: Sense) => void,
  after: (drive: Drive) => void = () => undefined,
): Controller {
  const seen = blankSense();
  return {
    hello: sound.hello,
    tick(sense, drive) {
      Object.assign(seen, sense);
      before(seen);
      sound.tick(seen, drive);
      drive.tick = sense.tick;
      after(drive);
    },
  };
}

type Method = (...args: number[]) => number | undefined;

/** The controller behind the order of its frames: a built-in one stands within another that drops old frames. */
function within(sound: Controller): Record<string, unknown> {
  const { inner } = sound as unknown as { inner?: unknown };
  return (inner ?? sound) as Record<string, unknown>;
}

/** A part of a sound controller, found by the path of its fields. */
function part(sound: Controller, path: string): Record<string, unknown> {
  let found = within(sound);
  for (const key of path.split('.')) {
    const inner = found[key];
    if (typeof inner !== 'object' || inner === null) throw new Error(`${path}: the controller has no part '${key}'`);
    found = inner as Record<string, unknown>;
  }
  return found;
}

/** Puts another method in the place of one; the new one gets the old one. Throws Error when there is none. */
function replace(sound: Controller, path: string, method: string, made: (old: Method) => Method): Controller {
  const owner = path === '' ? within(sound) : part(sound, path);
  const old = owner[method];
  if (typeof old !== 'function') throw new Error(`${path}: there is no method '${method}'`);
  owner[method] = made((old as Method).bind(owner));
  return sound;
}

const never = (): Method => () => undefined;

/** The integral of a loop moves whatever the output does: no limits, nothing that stops it. */
function windingUp(sound: Controller, path: string): Controller {
  const loop = part(sound, path) as { kp: number; kiPerTick: number };
  let integral = 0;
  replace(sound, path, 'reset', () => () => {
    integral = 0;
    return undefined;
  });
  return replace(sound, path, 'step', () => (error, ahead, lo, hi) => {
    integral += loop.kiPerTick * error;
    return Math.max(lo, Math.min(hi, ahead + loop.kp * error + integral));
  });
}

/** Ticks by which a stale reading is old: 0.5 ms. */
const STALE_TICKS = 10;

function stale(sound: Controller): Controller {
  const kept = Array.from({ length: STALE_TICKS }, blankSense);
  let count = 0;
  return between(sound, (sense) => {
    if ((sense.flags & SENSE_BOOT) !== 0) count = 0;
    const place = kept[count % STALE_TICKS];
    const fresh = { ...sense };
    // Only the position is old: currents, link and trigger are those of this tick.
    if (count >= STALE_TICKS) {
      const halls = 7 << 3;
      sense.flags = (sense.flags & ~halls) | (place.flags & halls);
      sense.hallAge = place.hallAge;
    }
    Object.assign(place, fresh);
    count++;
  });
}

export const DEFECTS: readonly Defect[] = [
  {
    name: 'torque of the wrong sign',
    of: 'hall-six-step',
    // The two driven legs are exchanged: what should pull pushes.
    spoil: (sound) =>
      between(
        sound,
        () => undefined,
        (drive) => {
          const most = Math.max(drive.dutyA, drive.dutyB, drive.dutyC);
          const low = (duty: number) => (duty === 0 ? most : 0);
          const driven = (bit: number) => (drive.gates >> bit) & 1;
          drive.dutyA = driven(0) * low(drive.dutyA);
          drive.dutyB = driven(1) * low(drive.dutyB);
          drive.dutyC = driven(2) * low(drive.dutyC);
        },
      ),
    caughtBy: ['reversal/at-speed-trigger-held.yaml', 'sensing/load-gone-in-saturation.yaml'],
  },
  {
    name: 'In and Out exchanged',
    of: 'sensorless',
    spoil: (sound) =>
      between(sound, (sense) => {
        const both = SENSE_IN | SENSE_OUT;
        const way = sense.flags & both;
        if (way !== 0 && way !== both) sense.flags ^= both;
      }),
    caughtBy: ['start/rise-free.yaml', 'start/rise-outward-low-gear.yaml'],
  },
  {
    name: 'no anti-wind-up',
    of: 'hall-six-step',
    spoil: (sound) => windingUp(windingUp(sound, 'speedLoop'), 'currentLoop'),
    caughtBy: ['sensing/load-gone-in-saturation.yaml'],
  },
  {
    name: 'no over-current trip',
    of: 'sensorless',
    spoil: (sound) => replace(sound, 'protection.over', 'update', never),
    caughtBy: ['bridge/motor-wire-to-minus.yaml'],
  },
  {
    name: 'north taken for south at the start',
    of: 'sensorless',
    spoil: (sound) => {
      const pulses = part(sound, 'pulses') as { theta: number };
      return replace(sound, 'pulses', 'step', (old) => (alpha, beta, volt) => {
        const result = old(alpha, beta, volt);
        pulses.theta += Math.PI;
        return result;
      });
    },
    caughtBy: ['start/rise-free.yaml', 'start/screw-half-in.yaml'],
  },
  {
    name: 'Hall readings half a millisecond old',
    of: 'hall-six-step',
    spoil: stale,
    caughtBy: ['start/rise-free.yaml', 'sensing/top-speed-delay.yaml'],
  },
  {
    name: 'starts again under a held trigger after a reset',
    of: 'hall-six-step',
    spoil: (sound) => replace(sound, 'protection.lock', 'update', never),
    caughtBy: ['supply/reset-under-a-held-trigger.yaml', 'supply/pack-put-in-trigger-held.yaml'],
  },
  {
    name: 'goes on when the direction is locked',
    of: 'sensorless',
    spoil: (sound) => {
      let way = SENSE_IN;
      return between(sound, (sense) => {
        const asked = sense.flags & (SENSE_IN | SENSE_OUT);
        if (asked !== 0) way = asked;
        else sense.flags |= way;
      });
    },
    caughtBy: ['reversal/locked-at-speed.yaml', 'reversal/locked-from-the-start.yaml'],
  },
  {
    name: 'no limit of a stall',
    of: 'sensorless',
    spoil: (sound) => replace(sound, 'stall', 'update', never),
    caughtBy: ['start/cannot-turn.yaml', 'bridge/hot-stall.yaml'],
  },
  {
    name: 'brakes into the link, however high it is',
    of: 'sensorless',
    spoil: (sound) => {
      const link = part(sound, 'protection.link') as { high: number };
      replace(sound, 'protection.link', 'update', (old) => (counts) => {
        old(counts);
        link.high = 0;
        return undefined;
      });
      const high_V = 1e6;
      return replace(
        sound,
        'plan',
        'step',
        (old) =>
          (...args) =>
            old(...args.slice(0, 7), high_V),
      );
    },
    caughtBy: ['supply/pack-opens-while-slowing.yaml', 'supply/pack-opens-while-reversing.yaml'],
  },
  {
    name: 'takes the current of one phase for that of another',
    of: 'sensorless',
    spoil: (sound) =>
      between(sound, (sense) => {
        const b = sense.ib;
        sense.ib = sense.ic;
        sense.ic = b;
      }),
    caughtBy: ['start/rise-free.yaml', 'start/screw-half-in.yaml'],
  },
  {
    name: 'believes every reading of a current',
    of: 'sensorless',
    spoil: (sound) => {
      const check = part(sound, 'protection.check') as { bad: number; latch: number };
      const blind =
        (old: Method): Method =>
        (...args) => {
          old(...args);
          check.bad = 0;
          check.latch = 0;
          return undefined;
        };
      replace(sound, 'protection.check', 'look', blind);
      return replace(sound, 'protection.check', 'compare', blind);
    },
    caughtBy: ['sensing/channel-frozen.yaml'],
  },
  {
    name: 'turns round at any speed',
    of: 'hall-six-step',
    spoil: (sound) => replace(sound, '', 'tooFastFor', () => () => 0),
    caughtBy: ['supply/pack-opens-while-reversing.yaml', 'start/press-other-way-coasting.yaml'],
  },
  {
    name: 'no heat limit and no check of the thermistors',
    of: 'hall-six-step',
    spoil: (sound) =>
      replace(replace(sound, 'protection.bridge', 'update', never), 'protection.motor', 'update', never),
    caughtBy: ['sensors/motor-thermistor-opens.yaml', 'sensors/bridge-thermistor-shorts.yaml'],
  },
];

/** For a test of the tests: nothing is spoilt. */
export const SOUND = (sound: Controller): Controller => between(sound, () => undefined);
