import { describe, expect, it } from 'vitest';
import { PROTOCOL_VERSION } from '../../src/protocol/frames.ts';
import { rateSplitMisfits } from '../../src/runner/rate-split-fit.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';
import { PACED_HELLO } from '../support/paced-motor.ts';

describe('fit for rate-split', () => {
  it('asks for no scale of a converter: values travel in SI', () => {
    expect(rateSplitMisfits({ ...PACED_HELLO, pwm_Hz: 123_456, linkPerCount_V: 3, shunts: 'ab' }, 500)).toEqual([]);
  });

  it('asks whether the board offers it, and which protocol it speaks', () => {
    const found = rateSplitMisfits({ ...HELLO_SAMPLE, version: PROTOCOL_VERSION + 1 }, 500);
    expect(found).toHaveLength(2);
    expect(found[0]).toContain(`the controller says ${PROTOCOL_VERSION + 1}, this program speaks ${PROTOCOL_VERSION}`);
    expect(found[1]).toContain('Hello.rateSplit is not true');
  });

  it('refuses a line that cannot carry the rate, and says which it could', () => {
    // A Scene has 40 bytes of values, a Report 32: some 50 on a line of 11520 bytes a second, of which 80 % may be used.
    expect(rateSplitMisfits(PACED_HELLO, 100, 115_200)).toEqual([]);
    const [crowded] = rateSplitMisfits(PACED_HELLO, 500, 115_200);
    expect(crowded).toMatch(/of a line of 115200 Bd; allowed is 80 %.*take at most 1\d\d frames a second/);
    expect(rateSplitMisfits(PACED_HELLO, 500, 921_600)).toEqual([]);
  });
});
