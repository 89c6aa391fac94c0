/** A set-up survives its way through an address, and whatever else stands there is refused in words. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FAULTS_MOST } from '../../src/scenario/kinds.ts';
import { LONGEST_KEPT, readSetUp, type SetUp, setUpFragment } from '../../worker/set-up-link.ts';

const PLAIN: SetUp = { drill: 'bench-18', controller: 'hall-six-step' };
/** As many faults and signals as there may be, with the longest names, numbers and conditions. */
const LONG = -1 / 3e-7;
const FULLEST: SetUp = {
  ...PLAIN,
  faults: Array.from({ length: FAULTS_MOST }, () => ({
    fault: 'f'.repeat(60),
    size: LONG,
    leg: 'c' as const,
    shape: { kind: 'intermittent' as const, over_s: -LONG, on_s: -LONG, off_s: -LONG },
    when: { kind: 'when' as const, signal: 's'.repeat(60), side: 'above' as const, value: LONG, held_s: -LONG },
    for_s: -LONG,
  })),
  signals: Array.from({ length: 64 }, () => 's'.repeat(60)),
};
/** The same letters by the codec of Node (RFC 4648 section 5). */
const link = (content: unknown): string =>
  `#set-up=1.${Buffer.from(JSON.stringify(content), 'utf8').toString('base64url')}`;
const why = (fragment: string): string => {
  const read = readSetUp(fragment);
  return read.ok ? '' : read.why;
};

const sets: fc.Arbitrary<SetUp> = fc.record(
  {
    drill: fc.string({ minLength: 1, maxLength: 30, unit: 'grapheme-ascii' }),
    controller: fc.constantFrom('hall-six-step', 'ä-µ-漢'),
    pace: fc.double({ min: 1e-4, max: 1, noNaN: true }),
    hands: fc.record(
      {
        gear: fc.constantFrom(1, 2),
        push_N: fc.double({ min: 0, max: 600, noNaN: true, noDefaultInfinity: true }).map((n) => n + 0),
      },
      { requiredKeys: [] },
    ),
    faults: fc.array(
      fc.record({ fault: fc.constantFrom('shunt-offset', 'x'), size: fc.integer(), leg: fc.constantFrom('a', 'b') }),
      { maxLength: 5 },
    ),
    signals: fc.array(fc.constantFrom('currentA', 'packVoltage'), { maxLength: 6 }),
  },
  { requiredKeys: ['drill', 'controller'] },
);

describe('link to a set-up', () => {
  it('reads back what it was made from', () => {
    fc.assert(
      fc.property(sets, (setUp) => {
        expect(readSetUp(setUpFragment(setUp))).toEqual({ ok: true, setUp });
      }),
    );
  });

  it('is base64url without padding, as another codec writes it', () => {
    const setUp: SetUp = { ...PLAIN, signals: ['~~~???', 'ÿþ'] };
    expect(setUpFragment(setUp)).toBe(link(setUp));
    expect(setUpFragment(setUp)).toMatch(/^#set-up=1\.[A-Za-z0-9_-]+$/);
  });

  it.each([
    ['another version', '#set-up=2.e30', /version '2' is not known; allowed is 1/],
    ['no version', '#set-up=e30', /no version; allowed is '1\.'/],
    ['letters that are none', '#set-up=1.%%%', /cannot be decoded/],
    ['half a link', setUpFragment(PLAIN).slice(0, -9), /cannot be decoded/],
    ['bytes that are no UTF-8', `#set-up=1.${Buffer.from([0xff, 0xfe]).toString('base64url')}`, /cannot be decoded/],
    ['a list', link([]), /allowed is/],
    ['no drill', link({ controller: 'hall-six-step' }), /key 'drill' is missing/],
    ['an unknown key', link({ ...PLAIN, color: 'red' }), /color.*not known here/],
    ['a trigger', link({ ...PLAIN, hands: { trigger: 1 } }), /trigger.*not known here/],
    ['a gear between', link({ ...PLAIN, hands: { gear: 1.5 } }), /gear.*does not fit/],
    ['too fast', link({ ...PLAIN, pace: 2 }), /pace.*out of range; allowed is 0\.0001 to 1/],
    ['a wrong leg', link({ ...PLAIN, faults: [{ fault: 'x', leg: 'd' }] }), /fault 1.*leg/],
    ['a length that no address has', `#set-up=1.${'A'.repeat(9000)}`, /9010 characters; allowed are 8000/],
  ])('refuses %s, and says why', (_, fragment, words) => {
    expect(why(fragment)).toMatch(words);
  });

  it('refuses to be longer than a reader takes', () => {
    expect(() => setUpFragment(FULLEST)).toThrow(/characters; allowed are 8000/);
    const kept = setUpFragment(FULLEST, LONGEST_KEPT);
    expect(why(kept)).toMatch(/characters; allowed are 8000/);
    expect(readSetUp(kept, LONGEST_KEPT)).toEqual({ ok: true, setUp: FULLEST });
  });

  it('never throws, whatever stands in the address', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(readSetUp(`#set-up=1.${text}`).ok).toBe(false);
      }),
    );
  });
});
