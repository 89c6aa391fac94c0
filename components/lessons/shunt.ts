import type { Lesson, Phase } from './lesson.ts';

const WORK: Phase = {
  hands: { gear: 2, direction: 1, trigger: 0.6, grip_Nm: 3, wrist: 0 },
  pace: 0.5,
  until: { kind: 'above', channel: 'time', level: 0.5 },
};
const until = (time_s: number): Phase['until'] => ({ kind: 'above', channel: 'time', level: time_s });

/** Source: an offset makes the first order, a scaling error the second: mdpi.com/1996-1073/18/6/1367 (review). */
export const SHUNT: Lesson = {
  id: 'shunt',
  title: 'A drifting shunt',
  about: 'A controller believes its current sensors. When one of them lies a little, torque starts to tremble.',
  steps: [
    {
      title: 'Five amperes too many',
      says: 'Shunt A reads 5 A more than flows. The controller takes them away where they never were.',
      controller: 'sensorless',
      phases: [WORK, { fault: { fault: 'shunt-offset', leg: 'a', size: 5 }, pace: 0.05, until: until(0.7) }],
      part: 'motor',
      lanes: [
        { name: 'Motor torque', channels: ['airGapTorque'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.01,
      readings: [
        { words: 'Torque, once a turn, before', channel: 'airGapTorque', take: 'line', phase: 0, last_s: 0.1 },
        { words: 'Torque, once a turn, after', channel: 'airGapTorque', take: 'line', phase: 1, last_s: 0.1 },
        {
          words: 'Torque, twice a turn, after',
          channel: 'airGapTorque',
          take: 'line',
          order: 2,
          phase: 1,
          last_s: 0.1,
        },
      ],
      ask: 'How often does the torque swing?',
      answers: [
        {
          text: 'Once an electrical turn',
          look: 'One bump of the upper picture for each wave of the lower one: a current that stands still meets a rotor that turns.',
          right: true,
        },
        {
          text: 'Twice an electrical turn',
          look: 'Compare the second and the third number, and count the bumps over one wave.',
        },
        {
          text: 'Six times an electrical turn',
          look: 'There are small bumps as well. Look for the largest one, and count it over one wave.',
        },
      ],
    },
    {
      title: 'It drifts',
      says: 'Now the error grows evenly, from nothing to 10 A. Nothing in the drill says so.',
      controller: 'sensorless',
      phases: [
        WORK,
        {
          fault: { fault: 'shunt-offset', leg: 'a', size: 10, shape: { kind: 'ramp', over_s: 0.4 } },
          pace: 0.1,
          until: until(0.7),
        },
        { pace: 0.1, until: until(0.9) },
      ],
      part: 'motor',
      lanes: [{ name: 'Motor torque', channels: ['airGapTorque'] }],
      show_s: 0.4,
      readings: [
        { words: 'Once a turn, half way', channel: 'airGapTorque', take: 'line', phase: 1, last_s: 0.04 },
        { words: 'Once a turn, at the end', channel: 'airGapTorque', take: 'line', phase: 2, last_s: 0.04 },
        { words: 'Trip that is reported', channel: 'tripReason', take: 'most' },
      ],
      ask: 'Twice the error. What does the swing of the torque do?',
      answers: [
        {
          text: 'It grows as much',
          look: 'Divide the second number by the first: torque follows the error in proportion.',
          right: true,
        },
        { text: 'It grows to four times', look: 'Divide the second number by the first.' },
        { text: 'It stays', look: 'Look how the band of the upper picture opens.' },
      ],
    },
    {
      title: 'Another lie: the gain',
      says: 'Shunt A now reads everything a third too large. Where it reads nothing it does not lie.',
      controller: 'sensorless',
      phases: [WORK, { fault: { fault: 'shunt-gain', leg: 'a', size: 0.3 }, pace: 0.05, until: until(0.7) }],
      part: 'motor',
      lanes: [
        { name: 'Current across the magnet', channels: ['currentQ'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.01,
      readings: [
        { words: 'Once a turn', channel: 'currentQ', take: 'line', last_s: 0.1 },
        { words: 'Twice a turn', channel: 'currentQ', take: 'line', order: 2, last_s: 0.1 },
      ],
      ask: 'How does a workshop tell gain from offset?',
      answers: [
        {
          text: 'By how large the ripple is',
          look: 'Either can be large or small. Compare the two numbers with those of the first step.',
        },
        {
          text: 'By how often it comes in a turn',
          look: 'An offset comes once, a gain twice: it is largest at both crests of its current.',
          right: true,
        },
        { text: 'It cannot', look: 'Compare which of the two numbers is larger, here and in the first step.' },
      ],
    },
    {
      title: 'Three witnesses',
      says: 'What flows into a star must flow out of it. Three sensors together know more than each of them.',
      controller: 'sensorless',
      phases: [WORK, { fault: { fault: 'shunt-offset', leg: 'a', size: 5 }, pace: 0.1, until: until(0.7) }],
      part: 'board',
      lanes: [{ name: 'Currents as sensed', channels: ['sensedA', 'sensedB', 'sensedC'] }],
      show_s: 0.01,
      readings: [
        { words: 'Sum of the three, before', channel: 'sensedA', take: 'sum', phase: 0, last_s: 0.1 },
        { words: 'Sum of the three, after', channel: 'sensedA', take: 'sum', phase: 1, last_s: 0.1 },
      ],
      ask: 'What does the sum tell?',
      answers: [
        { text: 'Which sensor lies', look: 'Five amperes are in the sum. Could they not come from B or C as well?' },
        {
          text: 'That one lies, and by how much',
          look: 'It should be nothing and is 5 A. Which of the three it is stays open.',
          right: true,
        },
        {
          text: 'Nothing: it is always zero',
          look: 'Compare the two numbers: one of them is nothing, the other one is not.',
        },
      ],
    },
    {
      title: 'Hide the truth: does it believe?',
      says: 'The controller hears its rotor through the same sensors. See whether its angle goes astray too.',
      controller: 'sensorless',
      phases: [WORK, { fault: { fault: 'shunt-offset', leg: 'a', size: 10 }, pace: 0.05, until: until(0.7) }],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.005,
      readings: [
        { words: 'Torque, once a turn', channel: 'airGapTorque', take: 'line', last_s: 0.1 },
        { words: 'Chuck speed', channel: 'chuckSpeed', take: 'last' },
      ],
      hidesTruth: true,
      ask: 'Ten amperes of error: how far off is the angle?',
      answers: [
        { text: 'It is lost', look: 'The solid line is shown now: both run side by side.' },
        {
          text: 'It swings by half a turn',
          look: 'The solid line is shown now: look how far the two of them ever are apart.',
        },
        {
          text: 'By little: the dashed line is told a period later',
          look: 'The solid line is shown now: it is ahead by the period for which the controller reckons, and by little else.',
          right: true,
        },
      ],
    },
  ],
};
