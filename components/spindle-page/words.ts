/** What the shell of the page says, in one place. */
export const PANEL_LABELS = {
  drills: 'Drills',
  who: 'Who drives',
  faults: 'Faults',
  compare: 'Compare',
  waves: 'Waves',
  keep: 'Keep',
  runs: 'Runs',
  lesson: 'Lesson',
} as const;

export const SHELL_WORDS = {
  caution:
    'Signal-level model. It replaces converter readings and the timer, and proves nothing about the safety of a real tool.',
  flat: 'Drawing without the graphics card. Waves are the same, a little slower.',
  notStarted: 'The drill did not start',
  notAsLinked: 'Not set up as the link says',
  goOn: 'Go on',
  notValid: 'This run is not valid.',
  stands: 'Time stands. Hands may move; nothing happens until Run or a step.',
  life: 'One second of the drill takes one second.',
  slower: (times: number) => `One second of the drill takes ${times} s.`,
  letters: (on: boolean) => `Letter keys ${on ? 'on' : 'off'}`,
  record: 'Record',
  recordDoes: 'what happened',
  now: 'Now',
  demonstration: 'opening demonstration',
  ahead: 'Ahead',
  aheadDoes: 'still to come',
} as const;
