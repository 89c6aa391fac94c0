/** Sizes and times as people read them. Powers of ten, as disks are sold. */
const STEPS = ['B', 'kB', 'MB', 'GB', 'TB'] as const;

export function bytes(size_B: number): string {
  const step = size_B < 1000 ? 0 : Math.min(STEPS.length - 1, Math.floor(Math.log10(size_B) / 3));
  const value = size_B / 1000 ** step;
  return `${step === 0 || value >= 100 ? Math.round(value) : value.toPrecision(value >= 10 ? 3 : 2)}\u202f${STEPS[step]}`;
}

/** A length of virtual time. */
export function length(time_s: number): string {
  if (time_s < 60) return `${time_s.toFixed(time_s < 10 ? 2 : 1)}\u202fs`;
  const minutes = Math.floor(time_s / 60);
  return `${minutes}\u202fmin ${Math.floor(time_s % 60)}\u202fs`;
}

/** How long something will do, roughly. */
export function roughly(time_s: number): string {
  if (time_s < 60) return 'less than a minute';
  if (time_s < 5400) return `${Math.floor(time_s / 60)} min`;
  return time_s < 172_800 ? `${Math.floor(time_s / 3600)} h` : 'days';
}

/** A count with its thousands apart. */
export const count = (number: number): string => number.toLocaleString('en-US').replaceAll(',', '\u202f');
