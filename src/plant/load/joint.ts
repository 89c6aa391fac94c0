/**
 * A test joint: torque that rises in a straight line with the turn of the chuck, from nothing where it is met.
 *
 * Model   rate = 0.9 full torque / turn from 10 to 100 %; what was tightened stays, and takes a share of its torque to
 *         loosen. Hard joints take some 27 degrees from 10 to 100 %, soft ones 324 or 650, by the edition of the standard.
 * Source  ISO 5393 as read in secondary sources (biqb.cn newsinfo/186; equiptech.com.my 2020/10/07): degrees by edition.
 */
import type { JointParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';

const CHUCK_ANGLE = slot('chuckAngle');
const MET = slot('stopAngle');
const SPAN = slot('jointSpan');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');

/** Turn before the joint from which on the straight line is followed [rad]: more than an update can bring. */
const NEAR_RAD = 0.1;

/** Widens the bounds of the load torque by the joint. The kernel takes a bound on the wrong side of zero as zero. */
export function boundJoint(x: Float64Array, w: Float64Array, p: JointParams): void {
  const turn = x[CHUCK_ANGLE] - x[MET];
  if (turn < -NEAR_RAD) return;
  const rate = (0.9 * p.full_Nm) / x[SPAN];
  w[LOW] -= rate * turn;
  w[LOW_SLOPE] -= rate;
  w[HIGH] += p.outShare * rate * turn;
  w[HIGH_SLOPE] += p.outShare * rate;
}
