/** Steps as the engine calls them, in words that say what is being done. */
const STEPS: Readonly<Record<string, string>> = {
  opening: 'Opening the file',
  drawing: 'Drawing the piece',
  'margin plane': 'Finding the margin plane',
  'length axis': 'Finding the length axis',
  measured: 'Measured',
  'starting OpenCV': 'Getting ready for photographs',
};

export function stepName(step: string): string {
  return STEPS[step] ?? step.charAt(0).toUpperCase() + step.slice(1);
}
