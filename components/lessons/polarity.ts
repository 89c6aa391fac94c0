import type { Lesson } from './lesson.ts';

/** Source: pulses and saturation tell north from south: Nakashima, Inagaki, Miki 2000 (from memory). */
export const POLARITY: Lesson = {
  id: 'polarity',
  title: 'Why polarity matters',
  about: 'North and south look alike to an inductance. Taken for each other, the drill starts the wrong way.',
  steps: [
    {
      title: 'A pulse toward north, and one toward south',
      says: 'The magnet has half filled the iron. A current along north fills it further, so the same voltage drives more current.',
      controller: 'sensorless',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.05,
          until: { kind: 'rises through', channel: 'currentD', level: 10 },
          untilWords: 'the first pulse is out',
        },
        {
          pace: 0.001,
          until: { kind: 'rises through', channel: 'controllerState', level: 1.5 },
          untilWords: 'the controller begins to drive',
        },
      ],
      part: 'motor',
      lanes: [
        { name: 'Current along the magnet', channels: ['currentD'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.008,
      readings: [
        { words: 'Greatest current toward north', channel: 'currentD', take: 'most' },
        { words: 'Greatest current toward south', channel: 'currentD', take: 'least' },
      ],
      ask: 'All pulses have the same voltage. How does the controller know north?',
      answers: [
        {
          text: 'By the larger tip',
          look: 'The tip above zero is the larger one: there the iron is fuller and the inductance less.',
          right: true,
        },
        {
          text: 'By the smaller tip',
          look: 'Above zero is north. Compare the highest tip of the upper trace with the lowest.',
        },
        { text: 'By the order of the pulses', look: 'They come in scattered order on purpose. Compare their heights.' },
      ],
    },
    {
      title: 'Iron that does not tell',
      says: 'The same press on a motor whose iron fills alike either way: both ends of the magnet answer alike.',
      controller: 'sensorless',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.05,
          until: { kind: 'above', channel: 'time', level: 0.15 },
        },
      ],
      ghost: {
        words: 'a motor that fills alike either way',
        changes: [
          { key: 'winding.satD2', value: 0 },
          { key: 'winding.satCross', value: 0 },
        ],
      },
      part: 'motor',
      lanes: [
        { name: 'Chuck, this drill', channels: ['chuckAngle'] },
        { name: 'Chuck, the other motor', channels: ['chuckAngle'], span: 90, run: 'ghost' },
        { name: 'Current along the magnet, the other motor', channels: ['currentD'], run: 'ghost' },
      ],
      show_s: 0.15,
      readings: [
        { words: 'This drill has turned its chuck by', channel: 'chuckAngle', take: 'last' },
        { words: 'The other one has turned it by', channel: 'chuckAngle', take: 'last', run: 'ghost' },
        { words: 'Trip that the other one reports', channel: 'tripReason', take: 'last', run: 'ghost' },
      ],
      ask: 'What does this controller do when it cannot tell?',
      answers: [
        { text: 'It tosses a coin', look: 'Look at the chuck of the other motor: does it turn at all?' },
        {
          text: 'It tries again with more voltage, then gives up by name',
          look: 'The tips of the lowest trace grow from try to try; then nothing follows, and a trip is told.',
          right: true,
        },
        { text: 'It starts slowly', look: 'Look at the chuck of the other motor after the pulses.' },
      ],
    },
    {
      title: 'Two wires swapped',
      says: 'Wires A and B have changed places. The field turns the other way, and the rotor follows it.',
      controller: 'sensorless',
      phases: [
        {
          fault: { fault: 'phases-ab-swapped' },
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.1,
          until: { kind: 'above', channel: 'time', level: 0.3 },
        },
      ],
      part: 'chuck',
      lanes: [
        { name: 'Chuck speed', channels: ['chuckSpeed'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.3,
      readings: [
        { words: 'Chuck speed; Direction is In', channel: 'chuckSpeed', take: 'last' },
        { words: 'Trip that is reported', channel: 'tripReason', take: 'most' },
      ],
      ask: 'Which of these would find the swapped wires?',
      answers: [
        {
          text: 'The pulses of the start',
          look: 'The start went through: a mirrored motor is a sound motor to its currents.',
        },
        { text: 'A look at the phase currents', look: 'Look at the lower trace: are they not those of a sound motor?' },
        {
          text: 'A look at the chuck',
          look: 'Only the chuck knows: it turns out. A test at the end of the line must look there.',
          right: true,
        },
      ],
    },
    {
      title: 'Hide the truth: which way?',
      says: 'Two other wires are swapped. The motor shows only what the controller believes; one part of the drill cannot be hidden.',
      controller: 'sensorless',
      phases: [
        {
          fault: { fault: 'phases-bc-swapped' },
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.05,
          until: { kind: 'above', channel: 'time', level: 0.12 },
        },
      ],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.02,
      readings: [{ words: 'Chuck speed; Direction is In', channel: 'chuckSpeed', take: 'last' }],
      hidesTruth: true,
      ask: 'The dashed angle rises: the controller believes that it turns in. Does it?',
      answers: [
        { text: 'Yes', look: 'The solid line is shown now: does it rise or fall? And which way does the chuck turn?' },
        {
          text: 'No, it turns out',
          look: 'The solid line falls while the dashed one rises: mirrored wires, mirrored belief.',
          right: true,
        },
        { text: 'It stands', look: 'The solid line is shown now: follow its slope.' },
      ],
    },
  ],
};
