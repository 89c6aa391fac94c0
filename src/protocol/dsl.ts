/**
 * The small language in which frames are declared: every field says its type, unit, scale and meaning once.
 * From a declaration come the run-time codec (codec.ts), the C header and the reference page (emit/), and, for Hello, the
 * schema that checks what a board says (hello.ts).
 */
export type IntegerKind = 'u8' | 'u16' | 'u32';
/**
 * `pad` bytes are sent as 0 and not read. `f32s`, a list of float32, and `text`, UTF-8 without a closing zero, end a
 * frame and take the rest of it.
 */
export type FieldKind = IntegerKind | 'f32' | 'pad' | 'f32s' | 'text';

/** One bit of a flag field; its place in the list is its number. */
export interface Bit {
  /** Name of the mask in TypeScript and, with the prefix PHANTOM_, in C. */ readonly name: string;
  readonly doc: string;
}

/** One named value of a code field. */
export interface Code {
  readonly name: string;
  readonly value: number;
  readonly doc: string;
}

export interface FieldNote {
  readonly doc: string;
  /** Unit of one count times `scale`; absent when the field is a plain number or a code. */ readonly unit?: string;
  /** Value of one count in `unit`; text when the board itself states it in Hello. */ readonly scale?: number | string;
  readonly bits?: readonly Bit[];
  readonly codes?: readonly Code[];
  /**
   * True for a field that came behind the last one after its frame was first released: an older sender leaves it out,
   * and then it reads 0.
   */
  readonly appended?: true;
}

export interface Field<K extends FieldKind = FieldKind> extends FieldNote {
  readonly kind: K;
  /** Bytes of the field; of one item for those that end a frame. */ readonly size: number;
  /** Largest number of items of a field that ends a frame, else 1. */ readonly most: number;
}

export type Fields = Readonly<Record<string, Field>>;
export type Sender = 'host' | 'board' | 'either';

/**
 * A frame of fixed layout. `bytes` does not count the items of a field that ends it, `leastBytes` no appended field
 * either: so short is the frame of the oldest sender.
 */
export interface Frame<F extends Fields = Fields> {
  readonly name: string;
  readonly id: number;
  readonly from: Sender;
  readonly doc: string;
  readonly fields: F;
  readonly leastBytes: number;
  readonly bytes: number;
  readonly mostBytes: number;
}

/** Values of a frame as a plain object: numbers as they travel (counts), lists as Float32Array, texts as strings. */
export type ValuesOf<T extends Frame> = {
  -readonly [K in keyof T['fields'] as T['fields'][K] extends Field<'pad'>
    ? never
    : K]: T['fields'][K] extends Field<'f32s'> ? Float32Array : T['fields'][K] extends Field<'text'> ? string : number;
};

/** Whether a field has no length of its own and therefore ends its frame. */
export const endsFrame = ({ kind }: Field): boolean => kind === 'f32s' || kind === 'text';
/** Whether nothing can be appended to a frame: what would come behind has no place of its own. */
export const isClosed = ({ fields }: Frame): boolean => Object.values(fields).some(endsFrame);

export const u8 = (note: FieldNote): Field<'u8'> => Object.freeze({ kind: 'u8', size: 1, most: 1, ...note });
export const u16 = (note: FieldNote): Field<'u16'> => Object.freeze({ kind: 'u16', size: 2, most: 1, ...note });
export const u32 = (note: FieldNote): Field<'u32'> => Object.freeze({ kind: 'u32', size: 4, most: 1, ...note });
/** A value in SI, IEEE 754 binary32. */
export const f32 = (note: FieldNote): Field<'f32'> => Object.freeze({ kind: 'f32', size: 4, most: 1, ...note });
/** Text of at most `most` bytes. */
export const text = (most: number, note: FieldNote): Field<'text'> =>
  Object.freeze({ kind: 'text', size: 1, most, ...note });
export const pad = (size: number): Field<'pad'> =>
  Object.freeze({ kind: 'pad', size, most: 1, doc: 'sent as 0, not read' });
export const f32s = (most: number, note: FieldNote): Field<'f32s'> =>
  Object.freeze({ kind: 'f32s', size: 4, most, ...note });

/**
 * Declares a frame. Throws RangeError when the id does not fit a byte, a list is not the last field or is appended, or an
 * appended field stands before one that is not.
 */
export function frame<const F extends Fields>(spec: {
  name: string;
  id: number;
  from: Sender;
  doc: string;
  fields: F;
}): Frame<F> {
  if (!Number.isInteger(spec.id) || spec.id < 1 || spec.id > 255) {
    throw new RangeError(`id of frame ${spec.name} is ${spec.id}; allowed is 1 to 255`);
  }
  const fields = Object.entries(spec.fields);
  let leastBytes = 0;
  let bytes = 0;
  let mostBytes = 0;
  fields.forEach(([name, field], place) => {
    if (endsFrame(field) && place !== fields.length - 1) {
      throw new RangeError(`field ${spec.name}.${name} has no fixed length; that is allowed for the last field only`);
    }
    if (field.appended && endsFrame(field)) {
      throw new RangeError(`field ${spec.name}.${name} has no fixed length and cannot be appended`);
    }
    if (!field.appended && leastBytes < bytes) {
      throw new RangeError(`field ${spec.name}.${name} stands behind an appended one and must be appended too`);
    }
    if (!endsFrame(field)) bytes += field.size;
    if (!field.appended) leastBytes = bytes;
    mostBytes += field.size * field.most;
  });
  return Object.freeze({ ...spec, leastBytes, bytes, mostBytes });
}

/** Mask of the named bit. Throws RangeError when no field of the frame has it. */
export function maskOf(of: Frame, name: string): number {
  for (const field of Object.values(of.fields)) {
    const bit = field.bits?.findIndex((each) => each.name === name) ?? -1;
    if (bit >= 0) return 2 ** bit;
  }
  throw new RangeError(`frame ${of.name} has no bit named ${name}`);
}

/** Number of the named code. Throws RangeError when no field of the frame has it. */
export function codeOf(of: Frame, name: string): number {
  for (const field of Object.values(of.fields)) {
    const code = field.codes?.find((each) => each.name === name);
    if (code) return code.value;
  }
  throw new RangeError(`frame ${of.name} has no code named ${name}`);
}
