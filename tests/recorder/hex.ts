/** Numbers as the sixteen digits of their bits, so that -0, NaN and the last bit count. */
const view = new DataView(new ArrayBuffer(8));

export function hexOf(value: number): string {
  view.setFloat64(0, Number.isNaN(value) ? Number.NaN : value);
  return view.getBigUint64(0).toString(16).padStart(16, '0');
}
