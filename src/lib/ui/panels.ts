// The panels under the answer, as one piece that loads after the first paint.
export { default as WhyPanel } from './WhyPanel.svelte';
export { default as OtherBlends } from './OtherBlends.svelte';
export { default as SwapPanel } from './SwapPanel.svelte';
export { default as DoubtPanel } from './DoubtPanel.svelte';
export { default as SavingsPanel } from './SavingsPanel.svelte';
export { default as OdourPanel } from './OdourPanel.svelte';
export { default as ShelfPanel } from './ShelfPanel.svelte';
export { default as BlendEditor } from './BlendEditor.svelte';
export { default as UsualPanel } from './UsualPanel.svelte';
export { default as RestingBars } from './RestingBars.svelte';
