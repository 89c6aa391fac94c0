/** Crawling, holding, gears, screws and joint in a short form. */
import { describe, it } from 'vitest';
import { expectHolds } from './expect-holds.ts';
import { gearRows } from './experiments/gears.ts';
import { blockRows, crawlRows } from './experiments/holding.ts';
import { JOINTS, jointRows, screwRows } from './experiments/screws.ts';
import { rated_Nm } from './facts.ts';

describe('work without a rotor sensor', () => {
  it('crawls at 3 % of full speed against a hand of half the rated torque', () => {
    expectHolds(crawlRows({}, rated_Nm(), 1, 1, 0.5));
  });

  it('holds a blocked chuck and creeps on when it is let go', () => expectHolds(blockRows({}, rated_Nm(), 1, 2)));

  it('is stopped by a hand in the high gear and not in the low one', () => expectHolds(gearRows({}, 1)));

  it('seats a screw, slowly and then fast, and takes it out again', () => expectHolds(screwRows({}, 1)));

  it('stops at the torque of a hard joint, by the current limit and by the clutch', () => {
    expectHolds(jointRows({}, 2, [JOINTS[1]]));
  });
});
