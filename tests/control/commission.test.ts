/**
 * The commissioning run against the parameters of the plant that it never sees: it gets counts and gives duties.
 *
 * Source  what such procedures attain (resistance 1 to 3 %, inductance 1 to 7 %, flux 1 to 2 %, inertia some per cent): common
 *         practice, no source. The parameters of the drills are those of src/plant/presets.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { commissionText } from '../../src/cli/commission.ts';
import { commissioning } from '../../src/control/commission/commission.ts';
import { COMMISSION_REASONS, REASON_LET_GO } from '../../src/control/commission/tables.ts';
import type { DrillParams } from '../../src/plant/params.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { STATE_TRIPPED } from '../../src/protocol/frames.ts';
import { decodeHello, encodeHello } from '../../src/protocol/hello.ts';
import { Bench } from '../../src/runner/bench.ts';
import { buildFor } from '../../src/runner/build.ts';
import { type Commissioned, commission, commissioned } from '../../src/runner/commission.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, linearWinding } from '../support/rigs.ts';

/** Phase, a switch, and the shunt for the half of the period in which the low side conducts [ohm], cold. */
function path_ohm({ winding, bridge }: DrillParams): number {
  return winding.r_ohm + bridge.rds_ohm + 0.5 * bridge.shunt_ohm;
}

/** Dead time over the period, and two diode drops that the pole gains meanwhile, as a share of the link. */
function dead_share({ bridge, pack }: DrillParams): number {
  const link_V = pack.series * 4;
  return bridge.deadTime_s * bridge.pwm_Hz * (1 + (2 * bridge.diode_V) / link_V);
}

/** Checks everything that was measured; `share` is the bound of each, `because` its reason. */
function expectFacts(drill: DrillParams, { facts: f }: Commissioned): void {
  const w = drill.winding;
  const near = (actual: number, expected: number, share: number, because: string) =>
    expectNear(actual, expected, { abs: share * Math.abs(expected), because });
  near(
    f.r_ohm,
    path_ohm(drill),
    0.03,
    'the switches are warmer by up to 15 K, which adds a per cent, and their diodes work in the dead times',
  );
  near(f.deadShare, dead_share(drill), 0.06, 'a cell of 4 V is a guess of the link, and the diode has a slope too');
  const rotor =
    '1.5 counts of noise over 864 samples are nothing; the link between its two samples is known to a per cent';
  near(f.ld_H, w.ld_H, 0.015, rotor);
  near(f.lq_H, w.lq_H, 0.015, rotor);
  near(
    f.satD2,
    w.satD2,
    0.1,
    'the square term is 30 % of the current at the tip: a per cent of that current is 3 % of it',
  );
  near(
    f.satD3,
    w.satD3,
    0.2,
    'the cube term is a tenth of the current at the tip: a per cent of that current is 10 % of it',
  );
  near(
    f.satQ3,
    w.satQ3,
    0.5,
    'the cube term is 2 % of the current at the tip: a per cent of that current is half of it',
  );
  near(
    f.satCross,
    w.satCross,
    0.4,
    'the cross term is 2 to 3 % of the current at the tip: a per cent of that current is a third of it',
  );
  near(
    f.lambda_Wb,
    w.magnet_Wb,
    0.01,
    'one count of the link is 0.05 %, dead time near a turning current 10 mV of 3 V',
  );
  near(
    f.inertia_kgm2,
    drill.shaft.rotor_kgm2,
    0.05,
    'flux to 1 %, slopes of some thousand counts to 2 %, chuck by 1 / ratio^2 to 1 %',
  );
}

describe('commissioning', () => {
  it('says a valid Hello', () => {
    const { hello } = commissioning();
    expect(decodeHello(encodeHello(hello))).toEqual({ hello });
  });

  for (const name of ['bench-18', 'heavy-36']) {
    describe(`of ${name}`, () => {
      let first: Commissioned;
      beforeAll(() => {
        first = commissioned(PRESETS[name]);
      });

      it('finds what the motor is made of', () => {
        expectFacts(PRESETS[name], first);
      });

      it('takes less than three seconds', () => {
        expect(first.virtual_s).toBeLessThan(3);
      });

      it('is sure of north, and explains the currents but for noise and what the link does between its samples', () => {
        // Six deviations: a wrong sign once in a thousand million.
        expect(first.watch.north).toBeGreaterThan(6);
        expect(first.watch['map rest']).toBeLessThan(0.01 * first.facts.most_A);
        expect(first.watch['line rest']).toBeLessThan(0.02);
      });

      it('finds the same from another rotor angle with other noise', () => {
        expectFacts(PRESETS[name], commission(PRESETS[name], { seed: 7 }));
      });
    });
  }

  it('finds the same on the light drill with the current that its switches bear', () => {
    // At 90 A its switches of 5.8 mohm would warm by 40 K within the run and the resistance with them.
    expectFacts(PRESETS['light-12'], commission(PRESETS['light-12'], { most_A: 50 }));
  });

  it('finds the resistance of the link, which the samples between the pulses never show', () => {
    const { watch } = commissioned(PRESETS['bench-18']);
    expectNear(watch['link resistance'], PRESETS['bench-18'].link.esr_ohm, {
      abs: 0.003,
      because: 'pulses of 2 us also discharge the capacitance by 2e-6 / (2 * 470e-6) = 2 mohm',
    });
  });

  it('finds no saliency and no saturation where there are none', () => {
    const drill = drillWith(linearWinding({ ld_H: 14e-6, lq_H: 14e-6 }));
    const { facts: f } = commission(drill);
    expectNear(f.lq_H / f.ld_H, 1, { abs: 0.01, because: 'both axes see the same voltages, to a per cent' });
    const tip_Wb = 14e-6 * 75;
    const because = 'a per cent of the current at the tip, 75 A';
    expectNear(f.satD2 * tip_Wb ** 2, 0, { abs: 0.75, because });
    expectNear(f.satCross * tip_Wb ** 2, 0, { abs: 0.75, because });
  });

  it('measures the inertia that is there', () => {
    const drill = drillWith({ shaft: { rotor_kgm2: 6.6e-6 } });
    const because = 'flux to 1 %, slopes to 2 %, chuck by 1 / ratio^2 to 1 %';
    expectNear(commission(drill).facts.inertia_kgm2, 6.6e-6, { abs: 0.05 * 6.6e-6, because });
  });
});

describe('commissioning gives up', () => {
  it('when the inductances cannot be', () => {
    const drill = drillWith(linearWinding({ ld_H: 12e-6, lq_H: 42e-6 }));
    expect(() => commission(drill)).toThrow('inductance ratio q to d outside 0.8 to 3');
  });

  it('when the resistance cannot be', () => {
    const drill = drillWith({ winding: { r_ohm: 0.25 } });
    expect(() => commission(drill, { most_A: 30 })).toThrow('resistance outside 2 to 200 milliohm');
  });

  it('when half the link for a period drives hardly any current: a coil of 5 mH is no such motor', () => {
    const drill = drillWith(linearWinding({ ld_H: 5e-3, lq_H: 5e-3 }));
    expect(() => commission(drill)).toThrow('too little current');
  });

  it('when the rotor cannot turn', () => {
    const drill = drillWith({ shaft: { rotorFriction_Nm: 1 } });
    expect(() => commission(drill)).toThrow(/does not follow/);
  });

  it('when the trigger is let go, and leaves the legs open', () => {
    const drill = PRESETS['bench-18'];
    const board = boardFor(drill);
    const controller = commissioning({}, buildFor(drill, board));
    const bench = new Bench({ drill, board, seed: 1, h_s: 1e-6, controller });
    bench.plant.hands.set('trigger', 1);
    bench.advance(0.3);
    expect(bench.drive.gates).not.toBe(0);
    // Below what counts as pressed, above where the contact opens.
    bench.plant.hands.set('trigger', 0.1);
    bench.advance(0.01);
    expect([bench.drive.state, bench.drive.trip, bench.drive.gates]).toEqual([STATE_TRIPPED, REASON_LET_GO, 0]);
    bench.advance(0.01);
    expect(bench.drive.gates).toBe(0);
  });

  it('with a text of its own for every reason', () => {
    expect(new Set(Object.values(COMMISSION_REASONS)).size).toBe(Object.keys(COMMISSION_REASONS).length);
  });
});

describe('the command line', () => {
  it('prints every fact with its unit and how it was found', () => {
    const text = commissionText('bench-18', false);
    expect(text).toMatch(/resistance +9\.\d+ +mohm +direct current at six levels/);
    expect(text).toMatch(/magnet flux +1\.1\d+ +mWb +coasting/);
    const { facts } = JSON.parse(commissionText('bench-18', true)) as { facts: object };
    expect(facts).toEqual(commissioned(PRESETS['bench-18']).facts);
  });

  it('says which presets there are when the name is none', () => {
    expect(() => commissionText('bench-17', false)).toThrow(/no preset is called 'bench-17'; .*bench-18/);
  });
});

describe('settings of the commissioning', () => {
  it('are refused with item, value and what is allowed', () => {
    expect(() => commissioning({ polePairs: 0 })).toThrow('commission.polePairs is 0; allowed is 1 to 20');
    expect(() => commissioning({ most_A: 160 })).toThrow(/commission\.most_A is 160 A; allowed is 5 to 99 A/);
  });
});
