import { afterEach, describe, expect, it } from 'vitest';
import { SCENE_POWER } from '../../src/protocol/frames.ts';
import { play } from '../../src/runner/play.ts';
import { CATCH_UP_S } from '../../src/runner/rate-split-pace.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { AveragedMotor } from '../support/paced-motor.ts';
import { type Fate, PROMPT, run, type Tied, tie } from './rate-split-rig.ts';
import { SHORT } from './rig.ts';

const RATE_HZ = 500;
const TICK_S = 1 / RATE_HZ;

let open: Tied[] = [];
afterEach(async () => {
  for (const { link } of open) await link.close();
  open = [];
});
async function tied(...args: Parameters<typeof tie>): Promise<Tied> {
  const made = await tie(...args);
  open.push(made);
  return made;
}

/** A fate that is `odd` at some places of the run and prompt at all others. */
const at =
  (places: readonly number[], odd: readonly number[]): Fate =>
  (place) =>
    places.includes(place) ? odd : [0];

const scenario = (change: Partial<Scenario> = {}): Scenario => ({
  ...SHORT,
  duration_s: 0.4,
  timeline: [{ at_s: 0.01, over_s: 0.02, trigger: 0.6 }],
  checks: [{ name: 'it turns', signal: 'chuckSpeed', take: 'largest', from_s: 0, to_s: 0.4, atLeast: 20 }],
  ...change,
});

describe('rate-split', () => {
  it('passes a scenario when every frame is in time, and says what it does not know', async () => {
    const t = await tied(RATE_HZ);
    const outcome = await play(scenario(), t.bench);
    expect(outcome.verdict).toBe('passed');
    expect(outcome).toMatchObject({
      coupling: 'rate-split',
      rate_Hz: RATE_HZ,
      lostTime_s: 0,
      energyResidual: Number.NaN,
    });
    expectNear(outcome.virtual_s, 0.4, { abs: 1e-12, because: 'whole beats counted in double floats' });
    const audit = outcome.checks.find(({ signal }) => signal === 'energyResidual');
    expect(audit).toMatchObject({ verdict: 'not evaluated', value: null, why: 'the motor is outside the drill' });
    expect(outcome.accounts_J['pack at its terminals']).toBeGreaterThan(outcome.accounts_J['shaft of the motor']);
    expect(t.link.counters).toMatchObject({ sent: 200, answered: 200, late: 0, lost: 0, heldBack: 0, repeated: 0 });
    expect(t.board.counters).toEqual({ scenes: 200, missed: 0 });
  });

  it('refuses faults before the first beat: most of them act where no drill is', async () => {
    const faults = [
      { fault: 'phase-open', leg: 'a', begin: { kind: 'at', at_s: 0 }, shape: { kind: 'step' } },
    ] as const;
    const t = await tied(RATE_HZ);
    await expect(play(scenario({ faults }), t.bench)).rejects.toThrow(
      'no fault can be injected in rate-split: the motor turns elsewhere',
    );
    expect(t.bench.counters.ticks).toBe(0);
  });

  it('does the same again to the last bit when time stands still', async () => {
    const one = await play(scenario(), (await tied(RATE_HZ)).bench);
    const other = await play(scenario(), (await tied(RATE_HZ)).bench);
    expect(other.stateHash).toBe(one.stateHash);
  });

  it('never passes a check on what only the board knows', async () => {
    const { bench } = await tied(RATE_HZ);
    const check = { name: 'current', signal: 'currentQ', take: 'peak', from_s: 0, to_s: 0.4, atMost: 1e6 } as const;
    const outcome = await play(scenario({ checks: [check] }), bench);
    expect(outcome.verdict).toBe('failed');
    expect(outcome.checks[0]).toMatchObject({ verdict: 'not evaluated', why: 'bridge and winding are on the board' });
  });

  it('counts late Reports exactly, and does not pass with one', async () => {
    const late = at([40, 60, 61], [1.5 * TICK_S]);
    const t = await tied(RATE_HZ, late);
    const outcome = await play(scenario(), t.bench);
    expect(outcome.verdict).toBe('invalid');
    expect(outcome.why).toBe('does not hold: no frame is late');
    expect(outcome.counters.late).toBe(3);
    expect(t.link.counters).toMatchObject({ sent: 200, answered: 200, late: 3, lost: 0, heldBack: 0 });
  });

  it('counts lost Reports exactly, by the numbers that were skipped', async () => {
    const t = await tied(RATE_HZ, at([30, 50, 70], []));
    const outcome = await play(scenario(), t.bench);
    expect(outcome.why).toBe('does not hold: no frame is lost');
    expect(t.link.counters).toMatchObject({ sent: 200, answered: 197, lost: 3, late: 0, heldBack: 0 });
  });

  it('counts repeated Reports and lets them do nothing', async () => {
    const once = await play(scenario(), (await tied(RATE_HZ)).bench);
    const t = await tied(RATE_HZ, at([30, 31], [0, 0]));
    const outcome = await play(scenario(), t.bench);
    expect(t.link.counters).toMatchObject({ answered: 200, repeated: 2, lost: 0, late: 0 });
    expect(outcome.stateHash).toBe(once.stateHash);
  });

  it('loses no angle with a Report: the next one brings it', async () => {
    const motor = new AveragedMotor();
    const t = await tied(RATE_HZ, at([100, 101], []), motor);
    await run(t, 150);
    const ratio = (1 + 36 / 12) * (1 + 60 / 24);
    const because = 'the first powered interval follows from speeds, the count of the angle is 1/65536 turn';
    expectNear(t.bench.sample[SIGNAL_INDEX.chuckAngle], motor.angle_rad / ratio, { abs: 0.02, because });
    expect(t.bench.sample[SIGNAL_INDEX.chuckAngle]).toBeGreaterThan(20);
  });

  it('holds Scenes back while too many are unanswered, and goes on when one is answered', async () => {
    const one = new AveragedMotor({}, { credits: 1 });
    const t = await tied(RATE_HZ, at([50], [3.5 * TICK_S]), one);
    await run(t, 100);
    // Scene 50 is answered 3.5 beats after it went out: the three beats between find no credit.
    expect(t.link.credits()).toBe(1);
    expect(t.link.counters).toMatchObject({ sent: 97, answered: 97, late: 1, heldBack: 3, lost: 0 });
    expect(t.board.counters).toEqual({ scenes: 97, missed: 0 });
  });

  it('gives up a Scene whose answer stays away, so that a credit of one is not held for ever', async () => {
    const t = await tied(RATE_HZ, at([50], []), new AveragedMotor({}, { credits: 1 }));
    await run(t, 200);
    // An eighth of 0.6 s is 37.5 beats: given up in the 38th after it, and that one goes out again.
    expect(t.link.counters).toMatchObject({ sent: 200 - 37, answered: 200 - 38, heldBack: 37, lost: 1, late: 0 });
  });

  it('calls a Scene late, not lost, that is answered after it was given up', async () => {
    const t = await tied(RATE_HZ, at([50], [60.5 * TICK_S]), new AveragedMotor({}, { credits: 64 }));
    await run(t, 110);
    // In beat 109 those are given up that are 38 beats old: 50 to 71.
    expect(t.link.counters).toMatchObject({ sent: 110, answered: 50, lost: 22, late: 0 });
    await run(t, 10);
    expect(t.link.counters).toMatchObject({ sent: 120, answered: 120, lost: 0, late: 60, repeated: 0, heldBack: 0 });
  });

  it('makes a short hold-up good and books the rest of a long one as lost time', async () => {
    // A board that takes a quarter of an interval for its answer.
    const t = await tied(RATE_HZ, () => [0.25 * TICK_S]);
    const began_s = t.clock.now_s();
    t.clock.holdUp(0.1, 0.8 * CATCH_UP_S);
    await run(t, 60);
    // Ten beats as fast as it answers have made 15 ms good of the 40 that beat 50 came too late.
    const turns = 'ten looks around of 0.01 ms, and what is over in the last of each';
    expectNear(t.clock.now_s() - began_s, 0.14 + 10 * 0.25 * TICK_S, { abs: 2e-4, because: turns });
    await run(t, 40);
    const because = 'sums of double floats';
    expect(t.bench.counters.lost).toBe(0);
    expectNear(t.clock.now_s() - began_s, 0.2, { abs: 1e-9, because });
    expect(t.link.counters).toMatchObject({ late: 0, lost: 0, heldBack: 0 });
    t.clock.holdUp(0.1, 0.4);
    await run(t, 200);
    const { lost, ticks } = t.bench.counters;
    // 0.4 s less what is made good, in whole beats.
    expectNear(lost, (0.4 - CATCH_UP_S) / TICK_S, { abs: 1, because: 'whole beats' });
    expectNear(t.clock.now_s() - began_s, (ticks + lost) * TICK_S, { abs: 1e-9, because });
    expect(t.link.counters.lost).toBe(0);
  });

  it('gives a slow board half an interval for each beat that is made good', async () => {
    const t = await tied(RATE_HZ, () => [0.9 * TICK_S]);
    const began_s = t.clock.now_s();
    t.clock.holdUp(0.1, 0.02);
    await run(t, 55);
    const because = 'five looks around of 0.01 ms each';
    expectNear(t.clock.now_s() - began_s, 0.12 + 5 * 0.5 * TICK_S, { abs: 1e-4, because });
    expect(t.link.counters.late).toBeGreaterThan(0);
  });

  it('does not pass with lost time', async () => {
    const t = await tied(RATE_HZ);
    t.clock.holdUp(0.1, 0.2);
    const outcome = await play(scenario(), t.bench);
    expect(outcome.verdict).toBe('invalid');
    expect(outcome.why).toContain('no virtual time is lost');
    expectNear(outcome.lostTime_s, 0.2 - CATCH_UP_S, { abs: TICK_S, because: 'whole beats' });
  });

  it('loses a board that falls asleep: the shaft is taken as standing, nothing is drawn, no check is judged', async () => {
    const levels: number[] = [];
    const motor = new AveragedMotor();
    const watched = {
      hello: motor.hello,
      run: (...[scene, span_s, report]: Parameters<AveragedMotor['run']>) => {
        levels.push(scene.levels);
        motor.run(scene, span_s, report);
      },
    };
    const t = await tied(RATE_HZ, (place) => (place < 50 ? [0] : []), watched);
    const outcome = await play(scenario({ duration_s: 2 }), t.bench);
    expect(outcome.verdict).toBe('controller lost');
    expect(outcome.why).toContain('paced: no Report for 0.6 s; 50 of ');
    expect(outcome.why).toContain('Scenes were answered, the last one was number 49');
    expect(outcome.checks[0]).toMatchObject({ verdict: 'not evaluated', why: 'controller lost' });
    // 50 beats, 0.6 s of silence, and the coast.
    expectNear(outcome.virtual_s, 0.1 + 0.6 + 0.01, { abs: 2 * TICK_S, because: 'seen at the beat after the limit' });
    expect(levels.at(-2)! & SCENE_POWER, 'fed to the last').toBe(SCENE_POWER);
    expect(levels.at(-1), 'one more Scene, without power').toBe(0);
    expect(t.bench.sample[SIGNAL_INDEX.packCurrent]).toBe(0);
    expect(t.bench.sample[SIGNAL_INDEX.chuckSpeed]).toBe(0);
  });

  it('begins the angle anew when the supply comes back, wherever the board does', async () => {
    const motor = new AveragedMotor();
    let fed = false;
    const forgetful = {
      hello: motor.hello,
      run: (...[scene, span_s, report]: Parameters<AveragedMotor['run']>) => {
        const up = (scene.levels & SCENE_POWER) !== 0;
        if (up && !fed) motor.angle_rad = -12_345;
        fed = up;
        motor.run(scene, span_s, report);
      },
    };
    const t = await tied(RATE_HZ, PROMPT, forgetful);
    await run(t, 50);
    await run(t, 600, 0);
    const before = t.bench.sample[SIGNAL_INDEX.chuckAngle];
    expect(motor.speed_rad_s, 'it has come to rest').toBe(0);
    await run(t, 3, 0.06);
    expectNear(t.bench.sample[SIGNAL_INDEX.chuckAngle], before, {
      abs: 0.02,
      because: 'it stood, and this little trigger asks for 20 rad/s of the motor: 0.008 rad of the chuck in 6 ms',
    });
    expect(t.link.counters.absurd).toBe(0);
    expect(t.bench.counters.boots).toBe(2);
  });

  it.each([
    ['an angle that leaps', (m: AveragedMotor) => (m.angle_rad += 1000)],
    ['a speed of no shaft', (m: AveragedMotor) => (m.speed_rad_s = 5e4)],
    ['a speed that is no number', (m: AveragedMotor) => (m.speed_rad_s = Number.NaN)],
  ])('sets aside %s and does not pass', async (_what, upset) => {
    const motor = new AveragedMotor();
    const t = await tied(RATE_HZ, PROMPT, motor);
    await run(t, 50);
    upset(motor);
    await run(t, 3);
    expect(t.link.counters.absurd).toBeGreaterThan(0);
    expect(t.bench.plant.fault).toBe('');
    expect(Math.abs(t.bench.sample[SIGNAL_INDEX.chuckAngle])).toBeLessThan(30);
    expect(t.bench.strictCounts().find(({ signal }) => signal === 'absurd')?.count).toBeGreaterThan(0);
  });
});
