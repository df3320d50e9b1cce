// The panels under the answer, as one piece that loads after the first paint.
export { default as ChanceCurve } from '#ui/questions/ChanceCurve.svelte';
export { default as SwapPanel } from '#ui/questions/SwapPanel.svelte';
export { default as SavingsPanel } from '#ui/questions/SavingsPanel.svelte';
export { default as UsualDose } from '#ui/questions/UsualDose.svelte';
export { default as BlendEditor } from './BlendEditor.svelte';
export { default as LaterQuestions } from './LaterQuestions.svelte';
export { default as ReplanPart } from './ReplanPart.svelte';
