/** Where the drawn drill puts its marks, and when it may draw them one by one. */
import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  between,
  heatLines,
  isHeld,
  marksSeen,
  ratchetLift,
  seenWidth,
  threadClimb,
  unwrap,
  WRIST,
  wristNeedle,
} from '../../components/drill-view/motion.ts';
import { Riding } from '../../components/drill-view/riding.ts';
import { expectNear } from '../support/near.ts';

const TAU = 2 * Math.PI;
const ROUNDING = { abs: 1e-9, because: 'rounding of a float64 over some thousand turns' };

describe('the section', () => {
  it('turns up to an eighth of a turn between two pictures, and is held beyond', () => {
    expect(isHeld(1 / 8, false, false)).toBe(false);
    expect(isHeld(0.126, false, false)).toBe(true);
    expect(isHeld(-0.126, false, false)).toBe(true);
  });

  it('does not flicker at the limit: once held, it turns again only below a tenth', () => {
    expect(isHeld(0.11, true, false)).toBe(true);
    expect(isHeld(0.11, false, false)).toBe(false);
    expect(isHeld(0.099, true, false)).toBe(false);
  });

  it('is held in stills as soon as it moves at all', () => {
    expect(isHeld(0.01, false, true)).toBe(true);
    expect(isHeld(0, false, true)).toBe(false);
  });
});

describe('marks around a cylinder', () => {
  it('are drawn only while the nearest mark of the next picture is the same one, moved the way it turned', () => {
    // What an eye does: it takes each mark for the one of the picture before that is nearest. Shannon's limit is half a spacing.
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.integer({ min: 1, max: 30 }),
        fc.double({ min: 0, max: TAU, noNaN: true }),
        (step_rad, count, angle_rad) => {
          fc.pre(marksSeen(step_rad, count) && Math.abs(step_rad) > 1e-6);
          const spacing = TAU / count;
          const mark = angle_rad;
          const next = Array.from({ length: count }, (_, k) => angle_rad + step_rad + k * spacing);
          const nearest = next.reduce((a, b) => (Math.abs(between(mark, b)) < Math.abs(between(mark, a)) ? b : a));
          expect(Math.sign(between(mark, nearest))).toBe(Math.sign(step_rad));
          expectNear(between(mark, nearest), step_rad, ROUNDING);
        },
      ),
    );
  });

  it('give way to a band where they would seem to stand or to turn backwards', () => {
    const count = 18;
    for (const spacings of [0.5, 0.7, 0.95, 1, 2, 17.6]) expect(marksSeen((spacings * TAU) / count, count)).toBe(false);
  });
});

describe('the thread', () => {
  const pitch = 5.2;

  it('climbs by one pitch a turn, and looks the same after whole turns', () => {
    expectNear(threadClimb(0.25 * TAU, pitch), 1.3, ROUNDING);
    expectNear(threadClimb(7.25 * TAU, pitch), 1.3, ROUNDING);
    expectNear(threadClimb(-0.25 * TAU, pitch), 3.9, ROUNDING);
  });

  it('stands still in the wood that climbs with it: crest and notch keep their distance at any angle', () => {
    // A screw without slip goes in by pitch x turns, so the board is lifted by as much.
    fc.assert(
      fc.property(fc.double({ min: 0, max: 150, noNaN: true }), (angle_rad) => {
        const board = (angle_rad / TAU) * pitch;
        const apart = (board - threadClimb(angle_rad, pitch)) / pitch;
        expectNear(apart, Math.round(apart), ROUNDING);
      }),
    );
  });
});

describe('angles', () => {
  it('go on without a jump where the signal wraps', () => {
    let angle = 0;
    for (let k = 1; k <= 100; k++) {
      const true_rad = 0.9 * k;
      angle = unwrap(angle, true_rad % TAU);
      expectNear(angle, true_rad, ROUNDING);
    }
  });

  it('differ by the short way around', () => {
    expectNear(between(0.1, TAU - 0.1), -0.2, ROUNDING);
    expectNear(between(TAU - 0.1, 0.1), 0.2, ROUNDING);
  });
});

describe('the wrist', () => {
  const RAD = Math.PI / 180;

  it('shows the twist of the tool, and where it is no longer comfortable', () => {
    const easy = wristNeedle(-10 * RAD);
    expectNear(easy.at, -10, ROUNDING);
    expect(easy).toMatchObject({ past: false, off: false });
    expect(wristNeedle((WRIST.ease + 1) * RAD).past).toBe(true);
    expect(wristNeedle(-(WRIST.ease + 1) * RAD).past).toBe(true);
  });

  it('stands at its stop beyond the scale, and says so', () => {
    expect(wristNeedle(200 * RAD)).toEqual({ at: WRIST.end, past: true, off: true });
    expect(wristNeedle(-200 * RAD).at).toBe(-WRIST.end);
  });

  it('turns what sticks out away from the eye as a projection does', () => {
    expectNear(seenWidth(60 * RAD), 0.5, ROUNDING);
    expect(seenWidth(0)).toBe(1);
    expect(seenWidth(Math.PI)).toBeGreaterThan(0);
  });
});

describe('the clutch', () => {
  it('rides up and drops once a tooth', () => {
    const detents = 18;
    const tooth = TAU / detents;
    expectNear(ratchetLift(0.8 * tooth, detents), 1, ROUNDING);
    expectNear(ratchetLift(5.8 * tooth, detents), 1, ROUNDING);
    expectNear(ratchetLift(-0.4 * tooth, detents), 0.5, ROUNDING);
    expect(ratchetLift(3.999 * tooth, detents)).toBeLessThan(0.01);
    expect(ratchetLift(0, detents)).toBe(0);
  });

  it('and the bit are told to jump for a moment of virtual time after each jump, also after a rewind', () => {
    const riding = new Riding();
    expect(riding.note(3, 10)).toBe(false);
    expect(riding.note(4, 10.01)).toBe(true);
    expect(riding.note(4, 10.1)).toBe(true);
    expect(riding.note(4, 10.2)).toBe(false);
    expect(riding.note(5, 12)).toBe(true);
    expect(riding.note(5, 2)).toBe(false);
  });
});

describe('the warmth', () => {
  it('is no line up to 40 °C and five from 140 °C on', () => {
    const lines = (celsius: number) => heatLines(celsius + 273.15);
    expect([-20, 20, 39, 59, 61, 100.5, 139, 140.1, 300].map(lines)).toEqual([0, 0, 0, 0, 1, 3, 4, 5, 5]);
  });
});
