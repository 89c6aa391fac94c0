/** What every reader of a result has to know. */
export const CAUTION =
  'Signal level: the bench replaces converter readings and the timer, not volts on pins. It proves nothing about EMC, ' +
  "gate drive or a real tool's safety; the applicable product standard and qualified people decide on anything that turns.";
