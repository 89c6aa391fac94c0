/** Source: the figures of a run on the real bench against sums over its signals, and against an estimate that is the truth. */
import { describe, expect, it } from 'vitest';
import { STATE_RUNNING } from '../../src/protocol/frames.ts';
import { given_J } from '../../src/runner/figures/energy.ts';
import type { Figure } from '../../src/runner/figures/figure.ts';
import { RunFigures } from '../../src/runner/figures/run-figures.ts';
import { play } from '../../src/runner/play.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { benchWith, OPTIONS, SHORT, sixStep } from './rig.ts';

const TICK_S = 1 / OPTIONS.drill.bridge.pwm_Hz;
const DEG = Math.PI / 180;

const figureIn = (figures: readonly Figure[], id: string): number => {
  const found = figures.find((figure) => figure.id === id);
  expect(found?.why, id).toBe('');
  return found?.value ?? Number.NaN;
};

describe('figures of a run on the bench', () => {
  /** Plays a short press into a screw with a controller that publishes the true angle, `late` ticks old. */
  async function playWatched(late: 0 | 1) {
    const inner = sixStep();
    // The angle that the controller itself estimates stays out of the figures.
    const own = inner.hello.watch.map(({ name, unit }) => ({ name, unit }));
    const watch = [...own, { name: 'angle', unit: 'deg el', signal: 'rotorAngle' }];
    let truth_deg = 0;
    let before_deg = 0;
    const bench = benchWith({
      hello: { ...inner.hello, watch },
      tick(sense, drive) {
        inner.tick(sense, drive);
        before_deg = truth_deg;
        truth_deg = bench.sample[SIGNAL_INDEX.rotorAngle] / DEG;
        drive.watch[inner.hello.watch.length] = late === 0 ? truth_deg : before_deg;
      },
    });
    const figures = new RunFigures(bench, OPTIONS.drill);
    const sums = { given_J: 0, work_J: 0, fastest: 0 };
    const S = SIGNAL_INDEX;
    let power_W = 0;
    const outcome = await play(SHORT, bench, {
      tick: (x) => {
        figures.see(x);
        sums.given_J += x[S.packOcv] * x[S.packCurrent] * TICK_S;
        const now_W = -x[S.loadTorque] * x[S.chuckSpeed];
        sums.work_J += 0.5 * (power_W + now_W) * TICK_S;
        power_W = now_W;
        if (x[S.controllerState] === STATE_RUNNING) {
          sums.fastest = Math.max(sums.fastest, Math.abs(x[S.electricalSpeed]));
        }
      },
    });
    return { list: figures.list(outcome), outcome, sums, bench };
  }

  it('hold an estimate against the rotor at the instant of the sample', async () => {
    const exact = await playWatched(0);
    const because = 'a watch value is a float32: 360 degrees have 24 bits';
    expectNear(figureIn(exact.list, 'angleErrorWorst'), 0, { abs: 360 * DEG * 2 ** -24, because });
    const late = await playWatched(1);
    const lag = late.sums.fastest * TICK_S;
    expect(lag).toBeGreaterThan(3 * DEG);
    const slip = 'the fastest tick is told by its end; within a tick the speed changes by less than 2 %';
    expectNear(figureIn(late.list, 'angleErrorWorst'), lag, { abs: 0.02 * lag, because: slip });
    expect(late.outcome.stateHash).toBe(exact.outcome.stateHash);
  });

  it('give the energy that the signals add up to', async () => {
    const { list, outcome, sums, bench } = await playWatched(0);
    expectNear(given_J(outcome), bench.plant.read('source'), {
      abs: 1e-9,
      because: 'the audit read backwards: rounding',
    });
    const because = 'the pack current of a tick is its mean, the open-circuit voltage moves by mV in the run';
    expectNear(figureIn(list, 'cellEnergy'), sums.given_J, { abs: 1e-4 * sums.given_J, because });
    // A load that resists has the sign against the speed: what it takes is minus their product.
    const rule = 'trapezoidal rule over ticks; the grip of the thread changes within one';
    expectNear(figureIn(list, 'loadWork'), sums.work_J, { abs: 1e-3 * sums.work_J, because: rule });
    expect(sums.work_J).toBeGreaterThan(0.1);
  });

  it('leave out an answer to another tick', async () => {
    const { list, bench } = await playWatched(0);
    const again = new RunFigures(bench, OPTIONS.drill);
    bench.drive.tick = bench.sense.tick - 1;
    bench.drive.watch.fill(77);
    const sample = Float64Array.from(bench.sample);
    sample[SIGNAL_INDEX.controllerState] = STATE_RUNNING;
    again.see(sample);
    again.see(sample);
    expect(again.angle.now_rad).toBeNaN();
    bench.drive.tick = bench.sense.tick;
    again.see(sample);
    expect(again.angle.now_rad).not.toBeNaN();
    expect(list.map(({ id }) => id)).toHaveLength(new Set(list.map(({ id }) => id)).size);
  });
});
