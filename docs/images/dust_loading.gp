# Pressure drop over retained dust: the example dust_loading. Run from the project's root:
#   gnuplot docs/images/dust_loading.gp
set terminal svg size 720,380 font "sans-serif,13" background "white"
set output "docs/images/dust_loading.svg"
data = "examples/expected/dust_loading.txt"
set xlabel "dust on the medium, g/m2"
set ylabel "pressure drop at 0.9 m3/s, Pa"
set xrange [0:120]
set yrange [0:240]
set grid lc rgb "#dddddd"
set key top left reverse Left samplen 2
plot data index 1 using 1:2 with points lc rgb "#D55E00" pt 7 ps 0.9 title "readings (invented)", \
     data index 1 using 1:3 smooth csplines lc rgb "#0072B2" lw 2 title "fitted law: exponential, then its tangent"
