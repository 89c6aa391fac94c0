/** Lessons as data: whole, kind to whoever answers, and made of nothing that the bench does not know. */
import { describe, expect, it } from 'vitest';
import { PARTS } from '../../components/drill-view/parts.ts';
import { LESSONS } from '../../components/lessons/index.ts';
import { FAULTS } from '../../src/faults/catalogue.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { LessonRig, lessonOf } from './lesson-rig.ts';

const STEPS = LESSONS.flatMap(({ id, steps }) => steps.map((step, k) => ({ name: `${id} ${k + 1}`, step })));

describe('lessons', () => {
  it('have ids of their own, four steps at least, and an exercise with the truth hidden', () => {
    expect(new Set(LESSONS.map(({ id }) => id)).size).toBe(LESSONS.length);
    for (const { id, steps } of LESSONS) {
      expect([id, steps.length >= 4]).toEqual([id, true]);
      expect([id, steps.some(({ hidesTruth }) => hidesTruth)]).toEqual([id, true]);
    }
  });

  it('ask with three answers, one of which holds, and say where to look whatever was answered', () => {
    for (const { name, step } of STEPS) {
      expect([name, step.answers.filter(({ right }) => right).length]).toEqual([name, 1]);
      for (const { text, look } of step.answers) {
        expect([name, look.length > 30]).toEqual([name, true]);
        expect(`${text} ${look}`).not.toMatch(/\b(wrong|incorrect|false|sorry)\b|!/i);
      }
      expect(`${step.says} ${step.ask}`).not.toContain('!');
      expect(step.ask).toMatch(/[?.]$/);
    }
  });

  it('say one thought a step, short enough to be read from the last row', () => {
    for (const { name, step } of STEPS) expect([name, step.says.length <= 160]).toEqual([name, true]);
  });

  it('name faults, parts and signals that exist', () => {
    for (const { name, step } of STEPS) {
      expect(PARTS.map(({ id }) => id)).toContain(step.part);
      for (const { fault } of step.phases)
        if (fault) expect([name, Object.hasOwn(FAULTS, fault.fault)]).toEqual([name, true]);
      const channels = [...step.lanes.flatMap((lane) => lane.channels), ...step.readings.map(({ channel }) => channel)];
      for (const channel of channels)
        expect([
          name,
          channel,
          channel === 'angle estimate' || SIGNAL_INDEX[channel as SignalId] !== undefined,
        ]).toEqual([name, channel, true]);
      expect([name, step.lanes.length >= 1 && step.lanes.length <= 3]).toEqual([name, true]);
      expect([name, step.readings.length >= 1 && step.readings.length <= 4]).toEqual([name, true]);
    }
  });

  it('has the same bits each time that a step is shown, whatever was on the bench before', async () => {
    const rig = new LessonRig();
    const [first, second] = lessonOf('start-kick').steps;
    const { hash } = await rig.play(first);
    await rig.play(second);
    expect((await rig.play(first)).hash).toBe(hash);
  });
});
