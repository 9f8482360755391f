# Net counts of the peaks in the example peak_count_order, with 95 % intervals and places. Run from the project's root:
#   gnuplot docs/images/peak_count_order.gp
set terminal svg size 720,300 font "sans-serif,13" background "white"
set output "docs/images/peak_count_order.svg"
data = "examples/expected/peak_count_order.txt"
set logscale x
set xlabel "net particles in the peak's sample (invented)"
set xrange [3:90000]
set xtics (10, 100, 1000, 10000)
set yrange [4.6:-1.4]
set grid xtics lc rgb "#dddddd"
set lmargin 30
set rmargin 4
set bmargin 4
set ytics nomirror
unset key
set label "place" at 30000,-0.9 center tc rgb "#444444"
plot data index 0 using 2:0:3:4:ytic(5) with xerrorbars lc rgb "#0072B2" lw 2 pt 7 ps 0.8, \
     data index 0 using (30000):0:1 with labels center tc rgb "#444444"
