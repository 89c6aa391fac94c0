/** Every English word of the sheet of drills; titles of figures and parameters come with the drill. */
export const WORDS = {
  title: 'Drills',
  onBench: (drill: string) => `${drill} is on the bench.`,
  close: 'Close',
  closeKey: 'Backspace',
  follows: 'What follows from the parameters',
  sources: 'Parameters and their sources',
  parameters: 'Parameters',
  parametersDo: 'Values in SI; where each comes from stands on the right.',
  values: (count: number) => `${count} values`,
} as const;
