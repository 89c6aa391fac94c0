import { describe, expect, it } from 'vitest';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { problemText } from '../../src/scenario/source.ts';
import { expectNear } from '../support/near.ts';

const GOOD = `# Shows the loader.
title: Bench slats
drill: bench-18
duration: 0.5 s
timeline:
  - { at: 0 s, trigger: 60 %, over: 50 ms }
checks:
  - name: it turns
    signal: chuckSpeed
    at least: 100 rpm
`;

function load(text: string): Scenario {
  const result = loadScenario(text, 'slats.yaml');
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.scenario;
}

function problems(text: string): string[] {
  const result = loadScenario(text, 'slats.yaml');
  return result.ok ? [] : result.problems.map(problemText);
}

/** GOOD with one piece replaced. */
const but = (piece: string, by: string) => {
  if (!GOOD.includes(piece)) throw new Error(`the text has no '${piece}'`);
  return GOOD.replace(piece, by);
};

describe('loading a scenario', () => {
  it('turns every value into SI and fills what is left out', () => {
    const { step_s, seed, controller, timeline, checks, duration_s } = load(GOOD);
    expect({ seed, controller, duration_s }).toEqual({ seed: 1, controller: 'hall-six-step', duration_s: 0.5 });
    expect(step_s).toBe(1e-6);
    expect(timeline[0].at_s).toBe(0);
    const rounding = { abs: 1e-14, because: 'one multiplication with a rounded factor' };
    expectNear(timeline[0].trigger ?? Number.NaN, 0.6, rounding);
    expectNear(timeline[0].over_s, 0.05, rounding);
    expectNear(checks[0].atLeast ?? Number.NaN, (100 * 2 * Math.PI) / 60, rounding);
    expect(checks[0]).toMatchObject({ signal: 'chuckSpeed', take: 'last', from_s: 0, to_s: 0.5 });
  });

  it('brings the timeline into the order of time and keeps the order of equal moments', () => {
    const text = but(
      '  - { at: 0 s, trigger: 60 %, over: 50 ms }',
      '  - { at: 0.2 s, gear: 1 }\n  - { at: 0.1 s, gear: 2 }\n  - { at: 0.1 s, direction: out }',
    );
    expect(load(text).timeline.map(({ at_s, gear, direction }) => [at_s, gear, direction])).toEqual([
      [0.1, 2, undefined],
      [0.1, undefined, -1],
      [0.2, 1, undefined],
    ]);
  });

  const bad: [string, string, string[]][] = [
    [
      'a misspelt key, with the nearest and all allowed ones',
      but('trigger: 60 %', 'triger: 60 %'),
      [
        'slats.yaml:6: timeline entry 1, over: allowed together with trigger only',
        "slats.yaml:6: timeline entry 1: key 'triger' is not known here; nearest is 'trigger'; " +
          'allowed are at, trigger, over, meets, grip, gear, direction, clutch, push, wrist, span, ambient',
      ],
    ],
    [
      'an unknown key with nothing near',
      but('drill: bench-18', 'drill: bench-18\ncolor: larch'),
      [
        "slats.yaml:4: key 'color' is not known here; allowed are title, format, include, drill, controller, seed, step, " +
          'duration, requirements, set, board, start, chuck, timeline, faults, checks',
      ],
    ],
    [
      'a number without its unit',
      but('duration: 0.5 s', 'duration: 0.5'),
      ["slats.yaml:4: duration: 0.5 has no unit; write it as '0.5 s', allowed are s, ms, us"],
    ],
    [
      'a wrong unit',
      but('duration: 0.5 s', 'duration: 0.5 mm'),
      ["slats.yaml:4: duration: '0.5 mm' has the unit mm; allowed are s, ms, us"],
    ],
    [
      'a value out of range',
      but('trigger: 60 %', 'trigger: 160 %'),
      ['slats.yaml:6: timeline entry 1, trigger: 160 % is out of range; allowed is 0 % to 100 %'],
    ],
    [
      'a step out of range',
      but('title:', 'step: 5 us\ntitle:'),
      ['slats.yaml:2: step: 5 us is out of range; allowed is 0.25 us to 2 us'],
    ],
    [
      'a limit in a unit of something else',
      but('100 rpm', '100 N·m'),
      ["slats.yaml:10: check 1, at least: '100 N·m' has the unit N·m; allowed are rpm, rad/s (units of chuckSpeed)"],
    ],
    [
      'a limit with a unit on a signal that has none',
      but('signal: chuckSpeed\n    at least: 100 rpm', 'signal: tripReason\n    at most: 0 A'),
      ["slats.yaml:10: check 1, at most: '0 A' does not fit; tripReason has no unit, allowed is a plain number"],
    ],
    [
      'a check without a limit',
      but('    at least: 100 rpm\n', ''),
      ["slats.yaml:8: check 1: a limit is missing; name 'at least' or 'at most'"],
    ],
    [
      'limits that nothing can meet',
      but('100 rpm', '100 rpm\n    at most: 50 rpm'),
      ["slats.yaml:10: check 1, at least: '100 rpm' is above 'at most' 50 rpm; nothing can pass"],
    ],
    [
      'a window beyond the end of the run',
      but('at least', 'to: 2 s\n    at least'),
      ["slats.yaml:10: check 1, to: '2 s' is after the end of the run at 0.5 s"],
    ],
    [
      'a window that ends before it begins',
      but('at least', 'from: 0.3 s\n    to: 0.2 s\n    at least'),
      ["slats.yaml:10: check 1, from: '0.3 s' is after the end of the window"],
    ],
    [
      'an entry after the end of the run',
      but('at: 0 s', 'at: 0.5 s'),
      ["slats.yaml:6: timeline entry 1, at: '0.5 s' is not before the end of the run at 0.5 s"],
    ],
    [
      'an entry in which nothing happens',
      but('{ at: 0 s, trigger: 60 %, over: 50 ms }', '{ at: 0 s }'),
      [
        'slats.yaml:6: timeline entry 1: nothing happens here; name at least one of trigger, meets, grip, gear, direction, clutch, push, wrist, span, ambient',
      ],
    ],
    [
      'a name that stands twice',
      `${GOOD}  - { name: it turns, signal: link, at most: 30 V }\n`,
      ["slats.yaml:11: check 2, name: 'it turns' is also the name of check 1; each is allowed once"],
    ],
    [
      'a signal that does not exist, with the nearest',
      but('chuckSpeed', 'chuckSped'),
      ["slats.yaml:9: check 1, signal: 'chuckSped' is not known here; nearest is 'chuckSpeed'; allowed are"],
    ],
    [
      'a drill that does not exist',
      but('bench-18', 'bench-36'),
      [
        "slats.yaml:3: drill: 'bench-36' is not known here; nearest is 'bench-18'; allowed are bench-18, light-12, heavy-36, slotless-24, slotless-36",
      ],
    ],
    [
      'a gear that does not exist',
      but('trigger: 60 %, over: 50 ms', 'gear: 3'),
      ['slats.yaml:6: timeline entry 1, gear: 3 is not known here; allowed are 0, 1, 2'],
    ],
    [
      'a depth without a screw',
      but('timeline:', 'chuck: { meets: stop, depth: 5 mm }\ntimeline:'),
      [
        'slats.yaml:5: chuck, depth: only work that is entered has a depth; allowed together with meets: screw, wood, steel',
      ],
    ],
    [
      'a screw deeper than it is long',
      but('timeline:', 'chuck: { meets: screw, depth: 80 mm }\ntimeline:'),
      ["slats.yaml:5: chuck, depth: '80 mm' is deeper than the screw of bench-18; allowed is 0 mm to 58 mm"],
    ],
    ['a missing key', but('drill: bench-18\n', ''), ["slats.yaml:2: key 'drill' is missing (preset of the drill)"]],
    [
      'a list where a group belongs',
      but('timeline:\n  - { at: 0 s, trigger: 60 %, over: 50 ms }', 'timeline: [soon]'),
      ["slats.yaml:5: timeline entry 1: 'soon' does not fit; allowed is a group of keys"],
    ],
    [
      'a seed below zero',
      but('title:', 'seed: -1\ntitle:'),
      ['slats.yaml:2: seed: -1 is out of range; allowed is 0 to 4294967295'],
    ],
    [
      'a seed that is no whole number',
      but('title:', 'seed: 1.5\ntitle:'),
      ['slats.yaml:2: seed: 1.5 does not fit; allowed is a whole number'],
    ],
    [
      'a key that stands twice',
      but('drill:', 'title: again\ndrill:'),
      ['slats.yaml:3: this key stands here twice; each may stand once'],
    ],
    ['text that is no YAML', 'title: [unclosed\n', ['slats.yaml:2: not readable as YAML:']],
    [
      'a tag of its own',
      but('title: Bench slats', 'title: !run Bench slats'),
      ['slats.yaml:2: not readable as YAML: Unresolved tag: !run'],
    ],
    [
      'an empty file',
      '',
      ['slats.yaml:1: the file is empty; a scenario has at least title, drill, duration, timeline'],
    ],
    ['a file that is a list', '- a\n', ['slats.yaml:1: a list does not fit; allowed is a group of keys']],
  ];

  it.each(bad)('refuses %s', (_what, text, expected) => {
    const found = problems(text);
    expected.forEach((line) => {
      expect(
        found.some((each) => each.startsWith(line)),
        `${line}\nis not in\n${found.join('\n')}`,
      ).toBe(true);
    });
    expect(found.length, found.join('\n')).toBe(expected.length);
  });

  it.each(['exec:./starter', 'tcp:127.0.0.1:5301'])('refuses %s as the controller of a scenario', (controller) => {
    const [line, ...more] = problems(but('duration', `controller: ${controller}\nduration`));
    expect(more).toEqual([]);
    expect(line).toBe(
      `slats.yaml:4: controller: '${controller}' is refused: a scenario names a built-in controller only; ` +
        'a command or an address comes from the command line (--controller); allowed here is hall-six-step, sensorless',
    );
  });

  it('refuses a controller that is not built in and names the nearest', () => {
    expect(problems(but('duration', 'controller: hall-sixstep\nduration'))).toEqual([
      "slats.yaml:4: controller: 'hall-sixstep' is not known; nearest is 'hall-six-step'; allowed are hall-six-step, sensorless",
    ]);
  });

  it('lists everything that is wrong at once, in the order of the lines', () => {
    const text = GOOD.replace('0.5 s', '5').replace('60 %', '160 %').replace('100 rpm', '100 V');
    expect(problems(text).map((line) => line.split(' ', 2)[0])).toEqual([
      'slats.yaml:4:',
      'slats.yaml:6:',
      'slats.yaml:10:',
    ]);
  });

  it('follows an alias to the line where the value stands', () => {
    const text = but('{ at: 0 s, trigger: 60 %, over: 50 ms }', '&press { at: 0 s, trigger: 60 % }\n  - *press');
    expect(load(text).timeline).toHaveLength(2);
    expect(problems(text.replace('60 %', '61 V'))[1]).toMatch(/^slats\.yaml:6: timeline entry 2, trigger: '61 V'/);
  });

  it('stops at aliases that unfold without end', () => {
    const levels = Array.from({ length: 12 }, (_, k) => `l${k + 1}: &l${k + 1} [${`*l${k}, `.repeat(9)}*l${k}]`);
    const [line] = problems(`l0: &l0 [pine]\n${levels.join('\n')}\n`);
    expect(line).toMatch(/^slats\.yaml:1: not readable as YAML: .*alias/i);
  });

  it('stops at a text beyond its size and at nesting without end', () => {
    expect(problems(`# ${'x'.repeat(300_000)}\n${GOOD}`)).toEqual([
      `slats.yaml:1: the text has ${300_003 + GOOD.length} characters; allowed are 262144`,
    ]);
    expect(problems('['.repeat(100_000))[0]).toMatch(/^slats\.yaml:1: not readable as YAML/);
  });
});
