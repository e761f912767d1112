// How the page looks and what its small script adds. Colours: dark enough for text on white
// (contrast above 4.5), apart for the colour-blind (after Okabe & Ito 2002); the same as the Python
// plots have, with lines dashed in the same manner for print in grey. Transmission and air have
// darker words than lines, for their line colours are too light to read.
#include "page_parts.hpp"

namespace lapheat::study::page {

namespace {

constexpr char css[] = R"css(
:root{--ink:#1b1f23;--soft:#4d555d;--rule:#c9ced3;--wash:#f4f5f2;--paper:#fff;
--coolant:#0072b2;--transmission:#b04d00;--steering:#007a5a;--oil:#8a5a2b;--other:#5d5a00;--air:#27719d}
*{box-sizing:border-box}
body{margin:0;color:var(--ink);background:var(--paper);font:1rem/1.5 Georgia,"Times New Roman",serif}
header,main,footer{max-width:70rem;margin:0 auto;padding:0 1rem}
h1,h2,h3,h4,th,caption,summary,.mono,label,output,svg text{font-family:"Helvetica Neue",Arial,sans-serif}
h1{font-size:1.7rem;line-height:1.2;margin:.6rem 0 0}
h2{font-size:1.3rem;margin:2.4rem 0 .6rem;padding-top:.5rem;border-top:3px solid var(--ink)}
h3{font-size:1.05rem;margin:1.4rem 0 .4rem}
h4{font-size:.95rem;margin:1rem 0 .3rem}
p{max-width:42rem;margin:.5rem 0}
a{color:#00538a}
.car{color:var(--soft);margin:0 0 .6rem;max-width:none}
.vh{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
#units-us:checked~.in-si,#units-us:checked~* .in-si,#units-si:checked~.in-us,#units-si:checked~* .in-us{display:none}
main>label{font-size:.85rem;margin:0 1rem 0 .3rem}.verdict{font-size:1.15rem;padding:.8rem 1rem;background:var(--wash);border-left:.4rem solid var(--ink);max-width:none}
.verdict p{max-width:48rem;margin:.3rem 0}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;background:#fff;padding:.4rem}
nav ul{list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;margin:.8rem 0}
ol.rank{list-style:none;padding:0;display:grid;grid-template-columns:repeat(auto-fit,minmax(17rem,1fr));gap:1rem}
ol.rank>li{border:1px solid var(--rule);border-radius:.3rem;padding:.7rem .9rem}
ol.rank>li:first-child{border:2px solid var(--ink)}
ol.rank h3{margin:0 0 .2rem}
.state{font-family:"Helvetica Neue",Arial,sans-serif;font-weight:bold;font-size:.9rem}
.no{color:#9b1c1c}.yes{color:#1f5f2e}.close{color:#8a4b00}
table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}
caption{text-align:left;font-weight:bold;padding:.3rem 0}
th,td{padding:.3rem .6rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule)}
thead th{border-bottom:2px solid var(--ink);vertical-align:bottom}
th[scope=row]{font-weight:600}
th[scope=rowgroup]{padding-top:.7rem}
.number{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}th.number{white-space:normal}
td small{color:var(--soft);font-size:.85em;white-space:nowrap}td small span{display:block}
.scroll{overflow-x:auto}
code,pre{font:.85rem/1.4 "DejaVu Sans Mono",Consolas,monospace}pre{white-space:pre-wrap;overflow-wrap:anywhere;background:var(--wash);padding:.6rem .8rem}
td code,th code{overflow-wrap:anywhere;font-weight:400}th[scope=rowgroup] code{font-weight:700}
ul.levers{margin:.2rem 0;padding-left:1.1rem;font-size:.9rem}
.scroll:focus-visible,summary:focus-visible,a:focus-visible,input:focus-visible{outline:3px solid #00538a;outline-offset:2px}
.bars{width:100%}.bars th,.bars td{border:0;padding:.1rem .3rem .1rem 0;vertical-align:middle}
.bars td:last-child{white-space:nowrap;text-align:right;width:4.5rem}.bars th{width:6.5rem}
.bars svg{width:100%;height:.8rem;display:block}
.plots{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,26rem),1fr));gap:1.2rem}
figure{margin:0;break-inside:avoid}
figcaption{font:bold .95rem "Helvetica Neue",Arial,sans-serif}
figure>svg{width:100%;height:auto;display:block;touch-action:pan-y}
svg text{font-size:11px;fill:var(--ink)}
.grid{stroke:#dfe3e6;stroke-width:1}.axis{stroke:var(--ink);stroke-width:1}
.line{fill:none;stroke:currentColor;stroke-width:1.8;stroke-linejoin:round}
.limit{fill:none;stroke:currentColor;stroke-width:1.3;stroke-dasharray:1.5 3}
.lead{stroke:currentColor;stroke-width:.6;opacity:.7}
svg .tag{fill:currentColor;paint-order:stroke;stroke:#fff;stroke-width:3px}.cursor{stroke:var(--ink);stroke-width:.8}
.coolant{color:var(--coolant)}.transmission{color:var(--transmission)}.steering{color:var(--steering)}
.engine_oil{color:var(--oil)}.other{color:var(--other)}.air{color:var(--air)}
.transmission .line,.transmission .limit{stroke:#d55e00}.air .line{stroke:#56b4e9}
.transmission .line{stroke-dasharray:10 2}.steering .line{stroke-dasharray:5 2}.engine_oil .line{stroke-dasharray:11 2 2 2}
.nine{fill:currentColor;opacity:.16;stroke:none}
.sure{max-width:34rem;margin:.6rem 0}.band{fill:#8fb7cf}.middle{stroke:var(--ink);stroke-width:2.5}
.front{fill:none;stroke:var(--ink);stroke-width:1.5}.reach{stroke:var(--soft);stroke-width:1.2}.asked{stroke:#9b1c1c;stroke-width:1.3;stroke-dasharray:5 3}
.logged{fill:none;stroke:var(--ink);stroke-width:.9}
.point{fill:var(--paper);stroke:var(--ink);stroke-width:1.6}.point.pick{fill:var(--coolant);stroke:var(--coolant)}
.bar{fill:currentColor}.range{fill:currentColor;opacity:.4}.bar.over,.range.over{fill:#9b1c1c}
.read{display:flex;flex-wrap:wrap;gap:0 .8rem;font-size:.85rem;align-items:center}
.read input{flex:1 1 9rem}.read output{flex:1 1 100%;min-height:2.6em;font-variant-numeric:tabular-nums}
details{border-top:1px solid var(--rule);padding:.4rem 0}summary{cursor:pointer;font-weight:600}
ul.cautions li{margin:.3rem 0;max-width:46rem}
footer{margin:3rem auto 2rem;color:var(--soft);font-size:.9rem}
@media(max-width:40rem){h1{font-size:1.4rem}.verdict{font-size:1.05rem}
.scroll table,.scroll tbody,.scroll tr,.scroll th,.scroll td{display:block;border:0;padding:.1rem 0}
.scroll thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.scroll tr{border-bottom:1px solid var(--rule);padding:.4rem 0}.scroll caption{display:block}
.scroll td{text-align:left;white-space:normal}.scroll td small{white-space:normal}td small span{display:inline}td small span+span::before{content:"; "}
.scroll td[data-label]::before{content:attr(data-label) ": ";color:var(--soft)}
.scroll td:empty{display:none}}
@media print{main>label,main>input{display:none}@page{margin:11mm}html{font-size:7.6pt}body{line-height:1.25}nav,.skip,.read,details:not([open]),.about-assumptions:not(:has(details[open])){display:none}
.scroll{overflow:visible}header,main,footer{max-width:none;padding:0}p,.verdict p,ul.cautions li{max-width:none}
h2{margin:.5rem 0 .15rem;padding-top:.2rem;border-top-width:1px;font-size:1.2rem}h3{margin:.5rem 0 .1rem}h4{margin:.3rem 0 .1rem}
h2,h3,caption,summary,thead{break-after:avoid}.side .scroll,thead{break-inside:avoid}.pair .number{white-space:normal}tr,li{break-inside:avoid}th,td{padding:.1rem .5rem}
.verdict{font-size:1.1rem;padding:.4rem .6rem}ol.rank{grid-template-columns:repeat(auto-fit,minmax(13.5rem,1fr));gap:.4rem}ol.rank>li{padding:.3rem .4rem}
ol.rank p,ul.cautions li,.pair figure,section p{margin:.1rem 0}.pair{display:grid;grid-template-columns:minmax(0,2fr) minmax(0,5fr);gap:1rem;align-items:start}.side .number{white-space:nowrap}.bars th{width:5.4rem}.bars td:last-child{width:2.6rem}
.scroll td small{font-size:.95em}section.about-cautions{font-size:.95em;columns:3;column-gap:1.2rem}section.about-cautions ul{padding-left:1.1rem}section.about-cautions h2{column-span:all}ul{margin:.1rem 0}
td small{white-space:normal}td small span{display:inline}td small span+span::before{content:"; "}
.plots{grid-template-columns:1fr 1fr 1fr;gap:.4rem}figure.sure{max-width:none}details{padding:.1rem 0}.side{columns:2}
html:has(ol.rank>li:nth-child(6)){font-size:6.9pt}ol.rank>li:nth-child(n+6) .bars,ol.rank>li:nth-child(n+6)>p:has(small),.binds tbody tr:nth-child(n+5),.cycle tbody tr:nth-child(n+5) td small{display:none}
.binds:has(tr:nth-child(5))::after{content:"Of the first four; of the others on a screen.";font-size:.9em;color:var(--soft)}.cycle th[scope=row]{white-space:nowrap}}
)css";

constexpr char javascript[] = R"js(
(function(){
document.querySelectorAll('figure[data-x0]').forEach(function(f,n){
var d=f.dataset,svg=f.querySelector('svg'),X0=+d.x0,X1=+d.x1,T=+d.t,Y0=+d.y0,Y1=+d.y1;
var lines=[].map.call(svg.querySelectorAll('polyline[data-name]'),function(p){
return{name:p.dataset.name,pts:p.getAttribute('points').split(' ').map(function(s){return s.split(',').map(Number)})}});
var bar=document.createElementNS('http://www.w3.org/2000/svg','line');
bar.setAttribute('class','cursor');bar.setAttribute('y1',Y1);bar.setAttribute('y2',Y0);bar.style.display='none';svg.appendChild(bar);
var box=document.createElement('div');box.className='read';
var label=document.createElement('label');label.textContent='Read at ';label.htmlFor='read'+n;
var input=document.createElement('input');input.type='range';input.id='read'+n;input.min=0;input.max=Math.round(T);input.step=Math.max(1,Math.round(T/600));input.value=0;
var out=document.createElement('output');out.htmlFor=input.id;out.textContent='Move over the plot or slide to read it.';
box.appendChild(label);box.appendChild(input);box.appendChild(out);f.appendChild(box);
function show(t){
t=Math.min(Math.max(t,0),T);var x=X0+(X1-X0)*t/T;
bar.setAttribute('x1',x);bar.setAttribute('x2',x);bar.style.display='';
var us=document.getElementById('units-us').checked,V0=+(us?d.usLow:d.siLow),V1=+(us?d.usHigh:d.siHigh),unit=us?d.usUnit:d.siUnit;
var words=[Math.floor(t/60)+':'+('0'+Math.floor(t%60)).slice(-2)+' min'];
lines.forEach(function(l){var p=l.pts,i=0;while(i<p.length-1&&p[i+1][0]<=x)i++;
var a=p[i],b=p[Math.min(i+1,p.length-1)],y=b[0]>a[0]?a[1]+(b[1]-a[1])*Math.min(1,(x-a[0])/(b[0]-a[0])):a[1];
words.push(l.name+' '+(V0+(V1-V0)*(y-Y0)/(Y1-Y0)).toFixed(0)+' '+unit)});
out.textContent=words.join(', ');input.setAttribute('aria-valuetext',words.join(', '))}
input.addEventListener('input',function(){show(+input.value)});
svg.addEventListener('pointermove',function(e){var r=svg.getBoundingClientRect(),w=svg.viewBox.baseVal.width;
var t=((e.clientX-r.left)*w/r.width-X0)/(X1-X0)*T;input.value=t;show(t)})})
})();
)js";

}  // namespace

Html style() { return html::style(css); }

Html script() { return html::script(javascript); }

}  // namespace lapheat::study::page
