import type { FaultAsk } from '../../worker/api.ts';
import type { Lesson, Phase } from './lesson.ts';

const CREEP = { gear: 1, direction: 1, trigger: 0.15, grip_Nm: 6, wrist: 0 };
const until = (time_s: number): Phase['until'] => ({ kind: 'above', channel: 'time', level: time_s });
const longer = (size: number): FaultAsk => ({ fault: 'dead-time-long', size });

/**
 * Source: error of a leg, link times dead time times frequency against the sign of its current; six steps of it an electrical
 * turn (docs.rs, documentation of a motor control library; Jeong and Park 1991, from memory).
 */
export const DEAD_TIME: Lesson = {
  id: 'dead-time',
  title: 'Low speed and the dead time',
  about:
    'Between two switches of a leg there is a gap in which the current decides. At crawling speed the gap is all there is.',
  steps: [
    {
      title: 'What a leg owes',
      says: 'Duty times link is what the leg was asked for. In the dead time the current takes some of it away.',
      controller: 'sensorless',
      phases: [{ hands: CREEP, pace: 0.25, until: until(0.6) }],
      part: 'switches',
      lanes: [
        { name: 'Phase current', channels: ['currentA'] },
        { name: 'Voltage of leg A', channels: ['poleA'] },
      ],
      show_s: 0.02,
      readings: [
        { words: 'Short of what was asked', channel: 'poleA', take: 'leg error', last_s: 0.2 },
        { words: 'Swing of leg A with the rotor', channel: 'poleA', take: 'line', last_s: 0.2 },
      ],
      ask: 'The current of leg A is positive. Which way does the dead time push its voltage?',
      answers: [
        { text: 'Up', look: 'What was asked less what came is above zero: the leg gives less than it was asked for.' },
        {
          text: 'Down',
          look: 'While both switches are open a positive current flows through the lower diode, and the leg lies at minus.',
          right: true,
        },
        {
          text: 'Either way, by chance',
          look: 'The first number is a mean over thousands of periods: chance would leave nothing.',
        },
      ],
    },
    {
      title: 'Twice the dead time',
      says: 'Everything stays as it is, but the gap: half a microsecond more.',
      controller: 'sensorless',
      phases: [
        { hands: CREEP, pace: 0.5, until: until(0.6) },
        { fault: longer(0.5e-6), pace: 0.1, until: until(1) },
      ],
      part: 'switches',
      lanes: [
        { name: 'Phase current', channels: ['currentA'] },
        { name: 'Voltage of leg A', channels: ['poleA'] },
      ],
      show_s: 0.02,
      readings: [
        { words: 'Short by, before', channel: 'poleA', take: 'leg error', phase: 0, last_s: 0.2 },
        { words: 'Short by, after', channel: 'poleA', take: 'leg error', phase: 1, last_s: 0.2 },
      ],
      ask: 'Link 20 V, 20 000 periods a second, 0.5 µs more. By how much must it grow?',
      answers: [
        {
          text: '0.2 V',
          look: '20 V times 20 000 a second times 0.5 µs: take the difference of the two numbers.',
          right: true,
        },
        { text: '0.02 V', look: 'Multiply the three numbers, and take the difference of the two that were read.' },
        { text: '2 V', look: 'Multiply the three numbers, and take the difference of the two that were read.' },
      ],
    },
    {
      title: 'The same gap at speed',
      says: 'The gap costs what link, frequency and its own length ask for. None of them knows how fast the rotor turns.',
      controller: 'sensorless',
      phases: [
        { hands: CREEP, pace: 0.5, until: until(0.6) },
        { hands: { trigger: 0.8 }, pace: 0.25, until: until(1.2) },
      ],
      part: 'switches',
      lanes: [
        { name: 'Motor speed', channels: ['motorSpeed'] },
        { name: 'Voltage of leg A', channels: ['poleA'] },
      ],
      show_s: 0.7,
      readings: [
        { words: 'Swing of leg A with the rotor, creeping', channel: 'poleA', take: 'line', phase: 0, last_s: 0.2 },
        { words: 'The same at speed', channel: 'poleA', take: 'line', phase: 1, last_s: 0.2 },
      ],
      ask: 'Why is dead time a matter of low speed?',
      answers: [
        {
          text: 'It is shorter at high speed',
          look: 'Link, frequency and length are the same at any speed, and so is their product: 0.2 V.',
        },
        {
          text: 'Its share of the voltage is larger there',
          look: 'Divide 0.2 V by either of the two swings: a share that hurts, and one that nobody notices.',
          right: true,
        },
        {
          text: 'The current is smaller there',
          look: 'The hand on the chuck asks for the same torque at either speed, and so does the current.',
        },
      ],
    },
    {
      title: 'Six times a turn',
      says: 'Each of three currents changes sign twice an electrical turn, and with it the error of its leg.',
      controller: 'sensorless',
      phases: [
        { hands: { ...CREEP, trigger: 0.3 }, pace: 0.5, until: until(0.6) },
        { fault: longer(2e-6), pace: 0.1, until: until(1) },
      ],
      part: 'motor',
      lanes: [
        { name: 'Current along the magnet', channels: ['currentD'] },
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
      ],
      show_s: 0.006,
      readings: [
        { words: 'Six times a turn, before', channel: 'currentD', take: 'line', order: 6, phase: 0, last_s: 0.2 },
        { words: 'Six times a turn, 2 µs more', channel: 'currentD', take: 'line', order: 6, phase: 1, last_s: 0.2 },
        { words: 'Five times a turn, 2 µs more', channel: 'currentD', take: 'line', order: 5, phase: 1, last_s: 0.2 },
      ],
      ask: 'Which ripple tells the dead time?',
      answers: [
        { text: 'Once a turn', look: 'Count the bumps of the upper picture over one wave of the lower one.' },
        {
          text: 'Six times a turn',
          look: 'Three currents, two changes of sign: six steps. Five times a turn there is next to nothing.',
          right: true,
        },
        {
          text: 'Once a PWM period',
          look: 'That would be twenty thousand a second: count the bumps over one wave of the lower picture.',
        },
      ],
    },
    {
      title: 'Hide the truth: too much of it',
      says: 'Two microseconds more at crawling speed, and a controller that was told nothing of it.',
      controller: 'sensorless',
      phases: [
        { hands: CREEP, pace: 0.5, until: until(0.5) },
        { fault: longer(2e-6), pace: 0.02, until: { kind: 'event', event: 'trip' } },
      ],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.03,
      readings: [
        { words: 'Chuck speed at the end', channel: 'chuckSpeed', take: 'last' },
        { words: 'Trip that is reported', channel: 'tripReason', take: 'last' },
      ],
      hidesTruth: true,
      ask: 'At the end of the dashed line the controller gave up. Where was the rotor by then?',
      answers: [
        { text: 'Where the dashed line says', look: 'The solid line is shown now: the two of them have parted.' },
        {
          text: 'Ahead of it',
          look: 'The solid line is shown now: at one moment, which of the two is the higher one?',
        },
        {
          text: 'Behind it',
          look: 'The solid line is shown now: the rotor fell back while the belief ran on.',
          right: true,
        },
      ],
    },
  ],
};
