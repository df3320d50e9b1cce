// The panels under the answer, as one piece that loads after the first paint.
export { default as WhyPanel } from '#ui/questions/WhyPanel.svelte';
export { default as OtherBlends } from '#ui/questions/OtherBlends.svelte';
export { default as SwapPanel } from '#ui/questions/SwapPanel.svelte';
export { default as DoubtPanel } from '#ui/questions/DoubtPanel.svelte';
export { default as SavingsPanel } from '#ui/questions/SavingsPanel.svelte';
export { default as OdourPanel } from './OdourPanel.svelte';
export { default as ShelfPanel } from './ShelfPanel.svelte';
export { default as BlendEditor } from './BlendEditor.svelte';
export { default as UsualPanel } from './UsualPanel.svelte';
export { default as RestingBars } from './RestingBars.svelte';
export { default as SizePanel } from './SizePanel.svelte';
