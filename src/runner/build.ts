/** Which build of a built-in controller goes with a drill and its board: the label of the pack, and a scale of the board. */
import type { Build } from '../control/index.ts';
import type { DrillParams } from '../plant/params.ts';
import { type BoardParams, linkPerCount_V } from '../sensing/board.ts';

export function buildFor(drill: Pick<DrillParams, 'pack'>, board: BoardParams): Build {
  return { cells: drill.pack.series, shunts: board.shunts, linkPerCount_V: linkPerCount_V(board) };
}
