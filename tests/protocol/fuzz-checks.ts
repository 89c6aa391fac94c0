/** What has to hold of the figures of a fuzz run, short or long. */
import { candidates, type NamedFigures, PASS, poissonBand } from './fuzz-traffic.ts';

/** What does not hold, in words; empty when all does. */
export function complaintsOf(figures: NamedFigures): string[] {
  const { run, lostUntouched, mostLost, falseOther, falseFlipped, falseShaped, shaped } = figures;
  const complaints: string[] = [];
  const say = (holds: boolean, what: string) => holds || complaints.push(`${run}: ${what}`);
  say(lostUntouched === 0, `${lostUntouched} frames are lost that no fault touched`);
  say(mostLost <= 2, `one short fault cost ${mostLost} frames; allowed are 2`);
  // A damaged packet passes with 2^-16 when its bits are chance, so the passes are at most Poisson with the mean of all
  // candidates, beyond the band one time in a million.
  const passed = falseOther + falseFlipped;
  const others = candidates(figures) - falseShaped;
  const { most } = poissonBand(others * PASS);
  say(passed <= most, `${passed} false frames of ${others} damaged packets; chance gives ${most} at most`);
  // Up to three flipped bits never pass (tests/verification/framing.test.ts); on a stream they also change the stuffing.
  say(!run.includes('messages') || falseFlipped === 0, `${falseFlipped} packets with flipped bits passed`);
  // A checksum of chance under a known id and a right length is right exactly one time in 65536.
  const band = poissonBand(shaped * PASS);
  say(
    falseShaped >= band.least && falseShaped <= band.most,
    `${falseShaped} of ${shaped} checksums of chance passed; ${band.least} to ${band.most} are to be expected`,
  );
  return complaints;
}
