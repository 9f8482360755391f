# E1, E2, E3 of the example two_channel_counter before and after its two bands. Run from the project's root:
#   gnuplot docs/images/band_estimate.gp
set terminal svg size 720,330 font "sans-serif,13" background "white"
set output "docs/images/band_estimate.svg"
numbers = "s/^  E([123]).*about +([0-9]+) .*: *([0-9]+) to *([0-9]+); without the counts *([0-9]+) to +([0-9]+).*/\\1 \\2 \\3 \\4 \\5 \\6/p"
data = "< sed -n -E '" . numbers . "' examples/expected/two_channel_counter.txt"
set ylabel "average efficiency, %"
set yrange [0:105]
set xrange [0.5:3.5]
set xtics ("E1 (0.3-1 um)" 1, "E2 (1-3 um)" 2, "E3 (3-10 um)" 3)
set ytics 0,20,100
set grid y lc rgb "#dddddd"
set key outside top center horizontal samplen 2 width -6
set bars 2
plot data using ($1-0.06):5:(0):($6-$5) with vectors nohead lc rgb "#999999" lw 8 title "ordinary media, 95 %", \
     data using ($1+0.06):2:3:4 with yerrorbars lc rgb "#0072B2" lw 3 pt 7 ps 0.8 title "with the two bands (invented data)"
