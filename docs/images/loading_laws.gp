# Growth laws side by side and efficiency under load: the example dust_loading. Run from the project's root:
#   gnuplot docs/images/loading_laws.gp
set terminal svg size 720,720 font "sans-serif,13" background "white"
set output "docs/images/loading_laws.svg"
data = "examples/expected/dust_loading.txt"
set xlabel "dust on the medium, g/m2"
set xrange [0:120]
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set title "Forms of growth (parameters invented)"
set ylabel "viscous resistance over clean"
set yrange [1:6]
set key top left reverse Left samplen 2
set arrow 1 from 45,1 to 45,2.117 nohead dt 2 lc rgb "#555555"
set label 1 "transition of both two-stage forms" at 46,1.2 tc rgb "#555555"
plot data index 2 using 1:5 with lines lc rgb "#D55E00" lw 2 title "kinked: exponential, then a line of its own slope", \
     data index 2 using 1:4 with lines lc rgb "#0072B2" lw 2 title "smooth: exponential, then its tangent", \
     data index 2 using 1:3 with lines lc rgb "#009E73" lw 2 dt 2 title "exponential (longer scale)", \
     data index 2 using 1:2 with lines lc rgb "#000000" lw 2 dt 3 title "linear", \
     data index 2 using 1:6 with lines lc rgb "#CC79A7" lw 2 dt 4 title "quadratic"
unset arrow
unset label
set title "Efficiency for one size under load (media invented)"
set ylabel "efficiency, %"
set yrange [30:100]
set key bottom right noreverse Right samplen 2
plot data index 3 using 1:2 with lines lc rgb "#0072B2" lw 2 title "charged medium", \
     data index 3 using 1:3 with lines lc rgb "#0072B2" lw 1 dt 2 title "the same without its charge", \
     data index 3 using 1:4 with lines lc rgb "#000000" lw 2 dt 3 title "mechanical medium"
unset multiplot
