import type { Lesson, Phase } from './lesson.ts';

const HELD = { gear: 1, direction: 1, trigger: 1, grip_Nm: 100, wrist: 0 };
const until = (time_s: number): Phase['until'] => ({ kind: 'above', channel: 'time', level: time_s });

/** Source: Joule; thermal masses are those of the drill, illustrative. */
export const STALL_HEAT: Lesson = {
  id: 'stall-heat',
  title: 'Stall and heat',
  about: 'A chuck that is held fast turns all the current into heat, and always in the same places.',
  steps: [
    {
      title: 'The chuck is held fast',
      says: 'A motor that stands keeps its current in the same wires. What turns shares its heat; what stands does not.',
      controller: 'hall-six-step',
      phases: [{ hands: HELD, pace: 0.1, until: until(0.4) }],
      part: 'switches',
      lanes: [
        { name: 'Heat of the three legs', channels: ['legHeatA', 'legHeatB', 'legHeatC'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.4,
      readings: [
        { words: 'Leg A at the end', channel: 'legHeatA', take: 'last' },
        { words: 'Leg B at the end', channel: 'legHeatB', take: 'last' },
        { words: 'Leg C at the end', channel: 'legHeatC', take: 'last' },
      ],
      ask: 'How many of the three legs carry the stall?',
      answers: [
        {
          text: 'One',
          look: 'Current that goes in must come out: count the traces in the lower picture that are not zero.',
        },
        {
          text: 'Two',
          look: 'One leg drives the current in, another one takes it out, and the third one cools down.',
          right: true,
        },
        { text: 'All three alike', look: 'Look at the end of the lower picture: one of the currents is zero.' },
      ],
    },
    {
      title: 'The same work, turning',
      says: 'Now the hand gives way and the chuck turns. Each leg has its turn many times a second.',
      controller: 'hall-six-step',
      phases: [{ hands: { ...HELD, grip_Nm: 15 }, pace: 0.1, until: until(0.4) }],
      part: 'switches',
      lanes: [
        { name: 'Heat of the three legs', channels: ['legHeatA', 'legHeatB', 'legHeatC'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.4,
      readings: [
        { words: 'Leg A at the end', channel: 'legHeatA', take: 'last' },
        { words: 'Leg B at the end', channel: 'legHeatB', take: 'last' },
        { words: 'Leg C at the end', channel: 'legHeatC', take: 'last' },
      ],
      ask: 'What makes the three temperatures one?',
      answers: [
        {
          text: 'The sink carries heat from one to the other',
          look: 'The sink was there in the stall as well. What is different is the lower picture.',
        },
        {
          text: 'The current is smaller',
          look: 'A smaller current is cooler, but it would not be alike in all three. Follow one color in the lower picture.',
        },
        {
          text: 'The current changes legs faster than they can warm up',
          look: 'A leg needs some 40 ms to follow; an electrical turn takes a few.',
          right: true,
        },
      ],
    },
    {
      title: 'Fast and slow',
      says: 'Switches are light, copper is heavy. The same stall reaches them at different times.',
      controller: 'hall-six-step',
      phases: [{ hands: HELD, pace: 0.05, until: until(0.15) }],
      part: 'motor',
      lanes: [
        { name: 'Heat of leg B', channels: ['legHeatB'] },
        { name: 'Heat of the winding', channels: ['windingHeat'] },
      ],
      show_s: 0.15,
      readings: [
        { words: 'Leg B has warmed up by', channel: 'legHeatB', take: 'change' },
        { words: 'The winding has warmed up by', channel: 'windingHeat', take: 'change' },
      ],
      ask: 'Which protection must be the quick one?',
      answers: [
        {
          text: 'That of the switches',
          look: 'Leg B has done nearly all of its rise before the winding has done a degree.',
          right: true,
        },
        { text: 'That of the winding', look: 'Compare both rises: which of the two still has time?' },
        { text: 'Both alike', look: 'Compare the shapes: one bends over at once, the other one has just begun.' },
      ],
    },
    {
      title: 'After half a second the controller gives in',
      says: 'Heat goes with the square of the current. This controller holds a stall with a third of it.',
      controller: 'hall-six-step',
      phases: [
        { hands: HELD, pace: 0.2, until: until(0.5) },
        { pace: 0.25, until: until(1.5) },
      ],
      part: 'motor',
      lanes: [
        { name: 'Current across the magnet', channels: ['currentQ'] },
        { name: 'Heat of the winding', channels: ['windingHeat'] },
      ],
      show_s: 1.5,
      readings: [
        { words: 'Current before', channel: 'currentQ', take: 'mean', phase: 0, last_s: 0.2 },
        { words: 'Winding in 0.2 s before', channel: 'windingHeat', take: 'change', phase: 0, last_s: 0.2 },
        { words: 'Current after', channel: 'currentQ', take: 'mean', phase: 1, last_s: 0.2 },
        { words: 'Winding in 0.2 s after', channel: 'windingHeat', take: 'change', phase: 1, last_s: 0.2 },
      ],
      ask: 'A third of the current: how much of the warming is left?',
      answers: [
        { text: 'A third', look: 'Divide the two rises of the winding, then the two currents.' },
        {
          text: 'A ninth, or less',
          look: 'A third times a third; and the winding, warmer than its housing, now loses some of it.',
          right: true,
        },
        {
          text: 'The same',
          look: 'Look at the slope of the lower picture before and after the step of the upper one.',
        },
      ],
    },
    {
      title: 'Hide the truth: does it stand?',
      says: 'Without rotor sensor the controller must know by itself that the rotor stands, at full current.',
      controller: 'sensorless',
      phases: [{ hands: HELD, pace: 0.1, until: until(0.3) }],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.1,
      readings: [
        { words: 'Chuck speed', channel: 'chuckSpeed', take: 'last' },
        { words: 'Current across the magnet', channel: 'currentQ', take: 'mean', last_s: 0.1 },
      ],
      hidesTruth: true,
      ask: 'The dashed angle trembles around one place. What does the rotor do?',
      answers: [
        { text: 'It turns on slowly', look: 'The solid line is shown now: has it got anywhere?' },
        {
          text: 'It stands, and the estimate holds its place',
          look: 'The solid line is shown now: it stands, and the dashed one stays within some degrees.',
          right: true,
        },
        {
          text: 'It swings to and fro as the dashed line does',
          look: 'The solid line is shown now: compare how far the two of them move.',
        },
      ],
    },
  ],
};
