/** A board that reads currents as they are, at the moment it is asked: no offset, noise or delay. */
import { BENCH_BOARD, boardParams } from '../../src/sensing/board.ts';

export const PLAIN_BOARD = boardParams({
  ...BENCH_BOARD,
  noise_counts: 0,
  shuntOffset_counts: [0, 0, 0],
  shuntDrift_counts_K: 0,
  settle_s: 0,
  slew_V_s: 1e9,
  sampleDelay_s: 0,
  jitter_s: 0,
});
