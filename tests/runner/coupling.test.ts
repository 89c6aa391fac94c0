import { describe, expect, it } from 'vitest';
import type { LockStepLink } from '../../src/links/link.ts';
import { openMemoryLink } from '../../src/links/memory.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { COAST_S, play } from '../../src/runner/play.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { acting, benchWith, OPTIONS, SHORT, sixStep } from './rig.ts';

const TICK_S = 50e-6;

function lockStep(link: LockStepLink): LockStepBench {
  return new LockStepBench({ ...OPTIONS, link });
}

describe('couplings', () => {
  it('give the same state, the same checks and the same rows in process and in lock-step', async () => {
    const rows: number[][] = [[], []];
    const direct = await play(SHORT, benchWith(sixStep()), { row: (sample) => rows[0].push(...sample) });
    const link = await openMemoryLink(sixStep());
    const stepped = await play(SHORT, lockStep(link), { row: (sample) => rows[1].push(...sample) });
    expect(direct.coupling).toBe('in-process');
    expect(stepped.coupling).toBe('lock-step');
    expect(stepped.stateHash).toBe(direct.stateHash);
    expect(stepped.checks).toEqual(direct.checks);
    expect(rows[1]).toEqual(rows[0]);
    expect(direct.verdict).toBe('passed');
    expect(link.counters.answered).toBe(direct.counters.asked);
  });

  it('keep everything when the controller is lost: legs open, a coast is recorded, no check is judged', async () => {
    const loseAt = 800;
    let gatesBefore = 0;
    const honest = sixStep();
    const link = await openMemoryLink(
      acting((sense, drive) => {
        if (sense.tick === loseAt) throw new Error('stack overflow');
        honest.tick(sense, drive);
        gatesBefore = drive.gates;
      }),
    );
    const outcome = await play(SHORT, lockStep(link));
    expect(gatesBefore).not.toBe(0);
    expect(outcome.verdict).toBe('controller lost');
    expect(outcome.why).toContain('stack overflow');
    expect(outcome.checks.slice(0, 2).map(({ verdict, why }) => [verdict, why])).toEqual([
      ['not evaluated', 'controller lost'],
      ['not evaluated', 'controller lost'],
    ]);
    expect(outcome.checks[0].value).toBeGreaterThan(20);
    const lostAt_s = (loseAt + 1) * TICK_S;
    expectNear(outcome.virtual_s, lostAt_s + COAST_S, { abs: 1e-12, because: 'whole ticks counted in double floats' });
    const after = outcome.lastRows.filter((row) => row[SIGNAL_INDEX.time] > lostAt_s + TICK_S);
    expect(after.length).toBeGreaterThan(5);
    for (const row of after) expect(row[SIGNAL_INDEX.gates]).toBe(0);
  });
});

describe('play', () => {
  it('fails a run whose checks fail and says by how much', async () => {
    const [deep] = SHORT.checks;
    const scenario = { ...SHORT, checks: [{ ...deep, atLeast: 0.5 }] };
    const outcome = await play(scenario, benchWith(sixStep()));
    expect(outcome.verdict).toBe('failed');
    const [{ value, margin }] = outcome.checks;
    expectNear(margin ?? 0, (value ?? 0) - 500, { abs: 1e-9, because: 'the same difference in another order' });
  });

  it('does not pass a run with lost time or late frames, whatever its checks say', async () => {
    const lossy = benchWith(sixStep());
    lossy.noteLost(3);
    const lost = await play(SHORT, lossy);
    expect(lost).toMatchObject({ verdict: 'invalid', why: 'does not hold: no virtual time is lost' });
    expectNear(lost.lostTime_s, 3 * TICK_S, { abs: 1e-18, because: 'one rounding' });
    const honest = sixStep();
    const tardy = acting((sense, drive) => {
      honest.tick(sense, drive);
      if (sense.tick === 900) drive.tick = 899;
    });
    const late = await play(SHORT, benchWith(tardy));
    expect(late).toMatchObject({ verdict: 'invalid', why: 'does not hold: no frame is late' });
  });

  it('stops at a value that is not finite and names slot and tick', async () => {
    const bench = benchWith(sixStep());
    const outcome = await play(SHORT, bench, {
      tick: () => {
        if (bench.plant.tick === 500) bench.plant.state[10] = Number.NaN;
      },
    });
    expect(outcome.verdict).toBe('invalid');
    expect(outcome.why).toMatch(/^plant: '.+' is not finite since tick 501/);
    expect(outcome.checks[0]).toMatchObject({ verdict: 'not evaluated', why: 'the run is not valid' });
  });

  it('balances energy far below its bound', async () => {
    const outcome = await play(SHORT, benchWith(sixStep()));
    expect(outcome.passed_J).toBeGreaterThan(1);
    const because = 'the bound that a run must keep to be valid';
    expectNear(outcome.energyResidual, 0, { abs: 1e-6, because });
  });

  it('tells its progress up to the end and waits when asked to', async () => {
    const shares: number[] = [];
    let waited = 0;
    await play(SHORT, benchWith(sixStep()), {
      progress: async (share) => {
        shares.push(share);
        await null;
        waited++;
      },
    });
    expect(shares.at(-1)).toBe(1);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(waited).toBe(shares.length);
  });

  it('records one row a millisecond', async () => {
    const times: number[] = [];
    await play(SHORT, benchWith(sixStep()), { row: (sample) => times.push(sample[SIGNAL_INDEX.time]) });
    expect(times).toHaveLength(100);
    times.forEach((time_s, k) => {
      expectNear(time_s, (k + 1) * 1e-3, { abs: 1e-12, because: 'whole ticks counted in double floats' });
    });
  });
});
