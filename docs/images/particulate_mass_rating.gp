# What a class by particulate matter goes by, and how probable it is: the example particulate_mass_rating. Run from the
# project's root:
#   gnuplot docs/images/particulate_mass_rating.gp
set terminal svg size 720,760 font "sans-serif,13" background "white"
set output "docs/images/particulate_mass_rating.svg"
data = "examples/expected/particulate_mass_rating.txt"
set multiplot

set origin 0,0.44
set size 1,0.56
set logscale x
set xlabel "particle size, um"
set ylabel "efficiency, %"
set y2label "mass by ln(size)"
set xrange [0.3:10]
set yrange [0:140]
set y2range [0:0.32]
set xtics (0.3, 0.5, 1, 2, 3, 5, 10)
set ytics 0,20,100 nomirror
set y2tics 0,0.1,0.3
set grid x y lc rgb "#dddddd"
set key at graph 0.99,0.02 bottom right reverse Left samplen 2 opaque noenhanced
set arrow from 1,0 to 1,114 nohead dt 2 lc rgb "#777777"
set arrow from 3,0 to 3,128 nohead dt 2 lc rgb "#777777"
set arrow from 0.3,112 to 1,112 heads size screen 0.008,25 lc rgb "#555555"
set arrow from 0.3,126 to 3,126 heads size screen 0.008,25 lc rgb "#555555"
set label "ePM1: urban" at 0.55,118 center tc rgb "#444444" front
set label "ePM2.5: urban, channel to 3.0 um taken whole" at 0.31,133 left tc rgb "#444444" front
set label "ePM10: rural, all channels" at 9.7,112 right tc rgb "#444444" front
plot data index 1 using 1:2 axes x1y2 with filledcurves y2=0 lc rgb "#E69F00" fs transparent solid 0.25 title "urban mass", \
     data index 1 using 1:3 axes x1y2 with filledcurves y2=0 lc rgb "#009E73" fs transparent solid 0.2 title "rural mass", \
     data index 0 using (sqrt($1*$2)):3:1:2 with xerrorbars pt 0 lw 3 lc rgb "#0072B2" title "as delivered (invented)", \
     data index 0 using (sqrt($1*$2)):4:1:2 with xerrorbars pt 0 lw 3 lc rgb "#D55E00" title "discharged (invented)"

unset arrow
unset label
unset logscale x
unset y2tics
unset y2label
unset xlabel
set origin 0,0
set size 1,0.44
set xrange [-0.6:3.6]
set yrange [0:1.25]
set xtics ("ISO ePM10 75 %%" 0, "ISO ePM10 80 %%" 1, "ISO ePM2.5 55 %%" 2, "ISO ePM2.5 60 %%" 3) nomirror
set ytics 0,0.2,1 mirror
set ylabel "probability of the class"
set key at graph 0.99,0.97 top right reverse Left samplen 2
set boxwidth 0.2
set style fill solid 0.85
place(name) = name eq "ISO ePM10 75 %" ? 0 : name eq "ISO ePM10 80 %" ? 1 : name eq "ISO ePM2.5 55 %" ? 2 : 3
plot data index 2 using (place(strcol(1)) - 0.3):2 with boxes lc rgb "#0072B2" title "as measured", \
     data index 3 using (place(strcol(1)) - 0.1):2 with boxes lc rgb "#56B4E9" title "counted four times as long", \
     data index 4 using (place(strcol(1)) + 0.1):2 with boxes lc rgb "#009E73" title "correlation ratio read nine times", \
     data index 5 using (place(strcol(1)) + 0.3):2 with boxes lc rgb "#999999" title "five sets of counts resampled"
unset multiplot
