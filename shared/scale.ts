// The scale of aroma: how intense a signal smells, and back. A foot, because a note is recognised only well
// above the detection threshold of its compounds; a power of what is above it (Stevens' law); and a
// levelling off. Strictly rising, with an exact inverse, so that a wish on intensity is a wish on signal.

/** Figures of the scale; rows `aroma.*` of the parameters. */
export interface Scale {
  /** Intensity that is never reached. */
  readonly most: number;
  readonly exponent: number;
  /** Signal of intensity 1, foot aside. */
  readonly recognition: number;
  /** Signal below which it counts by its square. */
  readonly foot: number;
}

/** The scale among values by the ids of their rows. */
export function scaleIn(values: Readonly<Record<string, number>>): Scale {
  return {
    most: values['aroma.most']!,
    exponent: values['aroma.exponent']!,
    recognition: values['aroma.recognition']!,
    foot: values['aroma.foot']!,
  };
}

/** Intensity of a signal: 1 just noticeable, 2.5 clear, 4 strong, 6 dominant; below `most`. */
export function intensityOn({ most, exponent, recognition, foot }: Scale, signal: number): number {
  if (signal <= 0) return 0;
  const sensed = signal / (1 + foot / signal);
  const felt = (sensed / recognition) ** exponent;
  return (most * felt) / (felt + most - 1);
}

/** The signal of an intensity; infinite where the scale ends. */
export function signalOn({ most, exponent, recognition, foot }: Scale, intensity: number): number {
  if (intensity <= 0) return 0;
  if (intensity >= most) return Infinity;
  const felt = ((most - 1) * intensity) / (most - intensity);
  const sensed = recognition * felt ** (1 / exponent);
  return (sensed + Math.sqrt(sensed * (sensed + 4 * foot))) / 2;
}

/** How fast the signal must rise with the intensity, at an intensity between 0 and `most`. */
export function signalSlopeOn(scale: Scale, intensity: number): number {
  const { most, exponent, foot } = scale;
  const signal = signalOn(scale, intensity);
  const sensedToFelt = 1 / exponent;
  // d ln felt / dI, then d ln sensed / d ln felt, then d ln signal / d ln sensed.
  const felt = most / (intensity * (most - intensity));
  const sensed = (signal + foot) / (signal + 2 * foot);
  return signal * felt * sensedToFelt * sensed;
}
