/** Gives a text to the person as a file. */
export function saveText(text: string, name: string, type: string): void {
  saveBlob(new Blob([text], { type }), name);
}

/** Gives anything to the person as a file. */
export function saveBlob(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** Name of a file without folder and ending. */
export const stem = (file: string): string => file.replace(/^.*\//, '').replace(/\.(ya?ml|json)$/, '');
