import { mono, paletteStyle, sans } from "./palette.js";
import { drawingStyle } from "./sheet.js";

/** How text, tables and drawings look wherever they stand. */
export const contentStyle = `${paletteStyle(":root")}
*{box-sizing:border-box}
html{font-size:15px;-webkit-text-size-adjust:100%;text-size-adjust:100%}
.mono:not(text){font-family:${mono};font-size:.9333rem}
h1,h2,h3{font-weight:600;line-height:1.2;margin:0;text-wrap:balance}
h1{font-size:26px}
h2{font-size:19px}
h3{font-size:15px;margin:28px 0 6px}
p,ul,ol,dl{margin:0 0 10px;max-width:68ch}
ul{padding-left:20px}
ol{padding-left:32px}
a{color:var(--asks);text-underline-offset:2px}
a:focus-visible,input:focus-visible,.scrolling:focus-visible,summary:focus-visible{outline:2px solid var(--asks);outline-offset:2px}
.quiet,.notes,figcaption,caption{color:var(--quiet)}
.notes,figcaption,caption,.small{font-size:13px}
.notes{margin-top:8px;overflow-wrap:anywhere}
.notes p{margin:0 0 8px}
.scrolling{overflow-x:auto}
figure{margin:0 0 16px}
figcaption{margin-top:6px;max-width:68ch}
.drawing{display:block;max-width:none}
.picture{display:block;max-width:100%;height:auto;image-rendering:pixelated;border:1px solid var(--ink)}
table{border-collapse:collapse;border-top:1.2px solid var(--ink);border-bottom:1.2px solid var(--ink);margin:0 0 16px;font-size:13px;line-height:1.4}
caption{text-align:left;padding:0 0 6px}
th,td{text-align:left;vertical-align:baseline;padding:4px 16px 4px 0;font-weight:400}
th:last-child,td:last-child{padding-right:0}
thead th{border-bottom:.6px solid var(--ink);vertical-align:bottom;color:var(--quiet)}
.number{text-align:right;white-space:nowrap}
td.number,td.mono,th.mono{font-family:${mono};font-size:12.5px}
.tight td,.tight th{padding-top:2px;padding-bottom:2px}
td.apart,th.apart{padding-left:28px}
tbody .group{padding-top:14px;font-weight:600}
.state,.keep{white-space:nowrap}
.holds{color:var(--holds)}
.fails{color:var(--fails);font-weight:600}
.gap{color:var(--ink)}
.gap .word{border:1px dashed currentColor;padding:0 4px}
.chain{padding-left:0;list-style:none;margin:0;max-width:100ch}
.chain li{display:inline}
.chain li+li::before{content:" \\2192  "}
.under td{padding-top:0;color:var(--quiet)}
.under .mono{font-size:12.5px}
.answers{list-style:none;padding:0;margin:0;max-width:none}
.answers li{display:grid;grid-template-columns:15rem minmax(0,1fr);gap:2px 20px;padding:9px 0;border-top:.6px solid var(--hairline);align-items:baseline}
.answers li:first-child{border-top:0;padding-top:0}
.answers .answer{font-size:19px;line-height:1.3;padding-left:24px;position:relative}
.answers .sign{position:absolute;left:0}
.pins{display:flex;flex-wrap:wrap;gap:28px 36px}
.pins figure{margin:0;max-width:100%;break-inside:avoid}
.pins figcaption{margin:0 0 8px;max-width:40ch;color:var(--ink)}
input[type=checkbox]{width:15px;height:15px;margin:0;vertical-align:-2px;accent-color:var(--asks)}
summary{cursor:pointer;color:var(--asks)}
details>table{margin-top:10px}
${drawingStyle}
`;

/** The look of every page that is handed out: a notebook's margin and page, rules that only order, sizes 13, 15, 19, 26. */
export const pageStyle = `${contentStyle}
body{margin:0;padding:0 24px 48px;background:var(--paper);color:var(--ink);font-family:${sans};line-height:1.45;font-variant-numeric:tabular-nums}
.part,header{display:grid;grid-template-columns:11.5rem minmax(0,1229px);max-width:1413px;margin:0 auto}
.margin{padding:28px 20px 28px 0}
.content{border-left:1px solid var(--hairline);padding:28px 0 28px 28px;min-width:0}
.content>:first-child{margin-top:0}
.content>:last-child{margin-bottom:0}
.part .margin,.part .content{border-top:1px solid var(--hairline)}
@media screen and (max-width:60rem){
.scrolling table:not(.own){min-width:44rem}
body{padding:0 16px 32px}
.part,header{display:block}
.margin{padding:24px 0 8px}
.content{border-left:0;border-top:0!important;padding:0 0 24px}
.answers li{grid-template-columns:1fr}
}
@page{size:A4;margin:16mm 14mm}
@page across{size:A4 landscape;margin:12mm}
@media print{
html{font-size:13px}
body{padding:0;background:none}
.part,header{display:block}
.margin{padding:14px 0 6px;break-inside:avoid}
.content{border-left:0;border-top:0!important;padding:0 0 14px}
p{orphans:3;widows:3}
.part:not(.new-sheet):not(.across) .margin{break-after:avoid}
.new-sheet{break-before:page}
.across{page:across;break-before:page;break-after:page}
h2,h3,caption,.group{break-after:avoid}
tr,figure,.answers li{break-inside:avoid}
tbody.together{break-inside:avoid}
thead{display:table-header-group}
.scrolling{overflow:visible}
.drawing,.picture{max-width:100%;height:auto}
.across .drawing{max-height:138mm;width:auto}
table{width:100%}
.pins{display:grid;grid-template-columns:repeat(3,1fr);gap:18px 16px;align-items:start}
.pins figcaption,.pins .small{font-size:11px}
details{display:none}
a{color:inherit;text-decoration:none}
}
`;
