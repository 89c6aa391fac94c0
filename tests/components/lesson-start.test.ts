/** What the lessons on the start say, asked of the bench that they set. */
import { beforeAll, describe, expect, it } from 'vitest';
import { TRIP_TEXT } from '../../src/control/tables.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { TRIP_LOCK } from '../../src/protocol/frames.ts';
import { expectNear } from '../support/near.ts';
import { LessonRig, lessonOf, type PlayedStep } from './lesson-rig.ts';

/** Play of the gearbox at the chuck, both sides of it: within it nothing has moved. */
const PLAY_RAD = 2 * BENCH_18.gear.halfPlay_rad;
/** An angle between minus and plus half a turn. */
const wrap = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));

describe('the start and its kick', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('start-kick');
  let played: PlayedStep;
  const next = async (k: number) => {
    played = await rig.play(steps[k]);
    return played.values;
  };

  it('turns the tool against the chuck, with the momentum that chuck and rotor gain', async () => {
    const [torque_Nm, turn_rad] = await next(0);
    const [{ to_s }] = played.spans;
    expect(torque_Nm).toBeGreaterThan(0);
    expect(turn_rad).toBeLessThan(0);
    // Angular momentum: what chuck and rotor have gained is what the tool has lost, less what friction and the wrist took meanwhile.
    const [chuck_rad_s] = rig.record('chuckSpeed', { from_s: to_s, to_s });
    const [motor_rad_s] = rig.record('motorSpeed', { from_s: to_s, to_s });
    const [body_rad_s] = rig.record('bodySpeed', { from_s: to_s, to_s });
    const { shaft, body } = BENCH_18;
    const gained = shaft.chuck_kgm2 * chuck_rad_s + shaft.rotor_kgm2 * motor_rad_s;
    const friction = shaft.chuckFriction_Nm * to_s;
    const wrist = Math.abs(turn_rad) * (body.wrist_Nm_rad * to_s + body.wrist_Nms);
    expectNear(-body_rad_s * body.body_kgm2, gained, {
      abs: friction + wrist,
      because: 'the impulses of friction and wrist, each at most its greatest torque for the whole time',
    });
  });

  it('puts less than half of the blow on the hand, which stops the tool later', async () => {
    const [chuck_Nm, hand_Nm, turn_rad] = await next(1);
    expect(hand_Nm).toBeLessThan(chuck_Nm / 2);
    expect(turn_rad).toBeLessThan(-5 * (Math.PI / 180));
    const [{ to_s }] = played.spans;
    const late = { from_s: to_s - 0.02, to_s };
    const mean = (x: number[]) => x.reduce((sum, value) => sum + value, 0) / x.length;
    expectNear(mean(rig.record('wristTorque', late)), mean(rig.record('gearTorque', late)), {
      abs: 0.1 * hand_Nm,
      because:
        'at rest the hand holds what the gears hold; the rotor still swings in the play of the gears by some percent',
    });
  });

  it('turns the tool through the hand in low gear', async () => {
    const turn_rad = played.values[2];
    const [hand_Nm, low_rad] = await next(2);
    expectNear(hand_Nm, BENCH_18.body.wristGrip_Nm, {
      abs: 1e-6,
      because: 'a grip that slips holds its limit; float32 record',
    });
    expect(low_rad).toBeLessThan(2 * turn_rad);
    const [{ to_s }] = played.spans;
    expect(Math.max(...rig.record('gearTorque', { from_s: 0, to_s }))).toBeGreaterThan(hand_Nm);
  });

  it('asks for the rotor angle in pulses that cancel', async () => {
    const [pulse_Nm, mean_Nm, back_rad] = await next(3);
    expect(Math.abs(mean_Nm)).toBeLessThan(pulse_Nm / 50);
    expect(back_rad).toBeGreaterThan(-PLAY_RAD);
    const currents = rig.record('currentA', played.spans[0]);
    expect(Math.max(...currents)).toBeGreaterThan(20);
    expect(rig.record('chuckAngle', played.spans[1]).at(-1)).toBeGreaterThan(PLAY_RAD);
  });

  it('turns as the controller believes', async () => {
    const [motor_rad_s, chuck_rad] = await next(4);
    expect(motor_rad_s).toBeGreaterThan(0);
    expect(chuck_rad).toBeGreaterThan(PLAY_RAD);
    const [{ to_s }] = played.spans;
    const late = { from_s: to_s - 0.01, to_s };
    const truth = rig.record('rotorAngle', late);
    const off = rig.record('watch 0', late).map((estimate, k) => Math.abs(wrap(estimate - truth[k])));
    // 20 electrical degrees are what a torque of 94 % still needs (cosine); a line over another on a projector.
    expect(Math.max(...off)).toBeLessThan(20 * (Math.PI / 180));
  });
});

describe('why polarity matters', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('polarity');
  let tips: readonly number[];
  let healthy: PlayedStep;

  beforeAll(async () => {
    tips = (await rig.play(steps[0])).values;
    const { fault: _, ...sound } = steps[2].phases[0];
    healthy = await rig.play({ ...steps[2], phases: [sound] });
  });

  it('drives more current toward north than toward south with the same voltage', () => {
    const [north_A, south_A] = tips;
    // 7 to 22 % were computed for a saturating d axis at up to 20 A and a tanh of flux; a few percent show on a projector.
    expect(north_A / -south_A).toBeGreaterThan(1.07);
  });

  it('does not turn a motor that answers alike either way, and says so by name', async () => {
    const { values, spans } = await rig.play(steps[1]);
    const [sound_rad, other_rad, trip] = values;
    expect(sound_rad).toBeGreaterThan(PLAY_RAD);
    expect(Math.abs(other_rad)).toBeLessThan(PLAY_RAD);
    expect(TRIP_TEXT[trip]).toBe(TRIP_TEXT[TRIP_LOCK]);
    const along = rig.record('currentD', spans[0], 'ghost');
    const [north_A, south_A] = [Math.max(...along), -Math.min(...along)];
    expectNear(north_A / south_A, 1, {
      abs: 0.07,
      because: 'twelve directions do not meet the axis; less than the tips of a sound motor',
    });
    // Each try has more voltage: the greatest tip exceeds the first one of the same motor by far.
    expect(north_A).toBeGreaterThan(1.5 * tips[0]);
  });

  it('turns out with two wires swapped, as fast as in with none, and nothing is reported', async () => {
    const [speed_rad_s, trip] = (await rig.play(steps[2])).values;
    expectNear(speed_rad_s, -healthy.values[0], {
      abs: 0.05 * healthy.values[0],
      because: 'a mirrored motor is the same motor; detents and noise meet it elsewhere',
    });
    expect(trip).toBe(0);
  });

  it('believes to turn in while it turns out', async () => {
    const { values, spans } = await rig.play(steps[3]);
    expect(values[0]).toBeLessThan(0);
    const late = { from_s: spans[0].to_s - 0.01, to_s: spans[0].to_s };
    const rises = (x: number[]) => x.slice(1).reduce((sum, angle, k) => sum + wrap(angle - x[k]), 0);
    expect(rises(rig.record('watch 0', late))).toBeGreaterThan(1);
    expect(rises(rig.record('rotorAngle', late))).toBeLessThan(-1);
  });
});
