import { describe, expect, it } from 'vitest';
import { choiceText, controllerChoice } from '../../src/cli/controller-choice.ts';
import { EXIT_FAILED, EXIT_LOST, EXIT_PASSED, EXIT_SET_UP, exitOf, worstExit } from '../../src/cli/exit.ts';
import { checkLine, digits } from '../../src/cli/report-text.ts';
import { cautionsOf, type RunFacts } from '../../src/cli/run-facts.ts';
import type { Outcome } from '../../src/runner/play.ts';

describe('--controller', () => {
  it.each([
    ['builtin:hall-six-step', 'builtin', 'hall-six-step'],
    ['exec:./starter --fast "two words"', 'exec', './starter --fast "two words"'],
    ['tcp:[::1]:5301', 'tcp', '[::1]:5301'],
  ])('reads %s', (text, kind, what) => {
    expect(controllerChoice(text)).toEqual({ kind, what });
    expect(choiceText(controllerChoice(text))).toBe(text);
  });

  it.each([
    [
      'builtin:hall-six-stp',
      "'hall-six-stp' is not built in; nearest is 'hall-six-step'; allowed are hall-six-step, sensorless",
    ],
    ['hall-six-step', 'allowed are builtin:NAME, exec:CMD, tcp:HOST:PORT'],
    ['tcp:localhost:0', 'allowed is HOST:PORT with a port from 1 to 65535'],
    ['tcp:5301', 'allowed is HOST:PORT with a port from 1 to 65535'],
    ['exec: ', 'the command is missing; write it as exec:./my-controller'],
  ])('refuses %s and says what is allowed', (text, why) => {
    expect(() => controllerChoice(text)).toThrow(why);
  });
});

describe('exit code', () => {
  it('tells a failed check from a broken set-up from a lost controller', () => {
    expect(
      ['passed', 'failed', 'invalid', 'set-up error', 'controller lost'].map((v) => exitOf(v as 'passed')),
    ).toEqual([EXIT_PASSED, EXIT_FAILED, EXIT_FAILED, EXIT_SET_UP, EXIT_LOST]);
  });

  it('is the worst of several: set-up before lost before failed', () => {
    expect(worstExit([0, 0])).toBe(0);
    expect(worstExit([0, 1])).toBe(1);
    expect(worstExit([1, 3, 0])).toBe(3);
    expect(worstExit([1, 3, 2])).toBe(2);
  });
});

describe('report', () => {
  it('prints four digits, powers of ten for what is very small', () => {
    expect([1234.56, 0.1, -58.9565, 0, 8.03e-9].map(digits)).toEqual(['1235', '0.1', '-58.96', '0', '8.030e-9']);
  });

  it('leaves out what a check that was not evaluated cannot say', () => {
    const nothing = { value: null, limit: 58, bound: 'at least', unit: 'mm', margin: null, at_s: null } as const;
    const line = checkLine({
      ...nothing,
      name: 'seated',
      verdict: 'not evaluated',
      signal: 'screwDepth',
      take: 'last',
      why: 'controller lost',
    });
    expect(line).toContain('seated  no value, at least 58 mm (controller lost)');
  });

  it('warns of everything that a reader could not guess', () => {
    const drops = { tooLong: 0, badCobs: 2, badCrc: 1 };
    const facts = { hello: { virtualTick: false }, link: { repeated: 1, drops } } as unknown as RunFacts;
    const outcome = { coupling: 'lock-step', counters: { asked: 0, dutyClamped: 4 } } as unknown as Outcome;
    expect(cautionsOf(facts, outcome)).toEqual([
      '4 duties were above full scale and were clamped',
      'the board does not take its time from the tick: its timers run in wall time and may act too early',
      'the controller was never asked: no trigger switched the supply on',
      '3 frames from the controller were dropped as damaged or unknown',
      '1 answers came more than once',
    ]);
  });
});
